#include <algorithm>
#include <cmath>

#include "absl/status/status.h"
#include "recording/findings.h"
#include "recording/interpolate.h"
#include "recording/recording.h"

namespace brakeward::recording {
namespace {

// One threshold with the signal it is held against.
struct Threshold {
  std::vector<double> signal;
  double value = 0;
};

struct Span {
  double onset_s = 0;
  double release_s = 0;
};

// The larger of the circuits logged; empty when none was.
std::vector<double> pressure_pa(const Log& log) {
  const std::vector<double>& front = log[Signal::kFrontPressure];
  const std::vector<double>& rear = log[Signal::kRearPressure];
  if (front.empty()) return rear;
  std::vector<double> larger = front;
  if (rear.size() == front.size()) {
    for (size_t i = 0; i < larger.size(); ++i) larger[i] = std::max(larger[i], rear[i]);
  }
  return larger;
}

void add_threshold(const std::optional<double>& value, std::vector<double> signal, std::string_view what,
                   std::string_view unit, std::string_view needs, Findings& findings,
                   std::vector<Threshold>& thresholds) {
  if (!value.has_value()) return;
  if (!std::isfinite(*value) || *value <= 0) {
    findings.fault("the ", what, " threshold is ", short_number(*value), " ", unit, "; it must be above 0");
  }
  if (signal.empty()) {
    findings.fault("the ", what, " threshold needs ", needs,
                   ", which was not logged: map it or leave the threshold out");
  }
  thresholds.push_back({std::move(signal), *value});
}

std::vector<Threshold> collect_thresholds(const Log& log, const StopRule& rule, Findings& findings) {
  std::vector<Threshold> thresholds;
  add_threshold(rule.deceleration_mps2, deceleration_mps2(log), "deceleration", "m/s^2",
                "deceleration or speed", findings, thresholds);
  add_threshold(rule.pressure_pa, pressure_pa(log), "pressure", "Pa", "front_pressure or rear_pressure",
                findings, thresholds);
  add_threshold(rule.pedal_n, log[Signal::kPedalForce], "pedal", "N", "pedal_force", findings, thresholds);
  add_threshold(rule.hand_m, log[Signal::kHandTravel], "hand", "m", "hand_travel", findings, thresholds);
  if (thresholds.empty()) {
    findings.fault("no threshold is set that finds stops: set deceleration, pressure, pedal or hand");
  }
  return thresholds;
}

void check_rule(const Log& log, const StopRule& rule, Findings& findings) {
  const auto check = [&](double value, std::string_view what, std::string_view unit) {
    if (std::isfinite(value) && value >= 0) return;
    findings.fault(what, " is ", short_number(value), " ", unit, "; it must be 0 or more");
  };
  check(rule.merge_s, "the time within which stops are joined", "s");
  check(rule.shortest_s, "the shortest stop", "s");
  check(rule.padding_s, "the padding", "s");
  check(rule.least_entry_speed_mps, "the least entry speed", "m/s");
  if (!log.has(Signal::kSpeed)) findings.fault("stops need speed, which was not logged: map it");
  for (const std::vector<double>& signal : log.signals) {
    if (signal.empty() || signal.size() == log.time_s.size()) continue;
    findings.fault("a signal has ", signal.size(), " samples, but the time base ", log.time_s.size());
  }
}

// Where a threshold is crossed between samples i and i + 1.
double crossing_s(const std::vector<double>& time_s, const Threshold& threshold, size_t i) {
  const double from = threshold.signal[i];
  const double to = threshold.signal[i + 1];
  return time_s[i] + (threshold.value - from) / (to - from) * (time_s[i + 1] - time_s[i]);
}

// Stretches in which any threshold is exceeded, with their ends between samples.
std::vector<Span> exceeded_spans(const std::vector<double>& time_s,
                                 const std::vector<Threshold>& thresholds) {
  std::vector<Span> spans;
  bool inside = false;
  for (size_t i = 0; i < time_s.size(); ++i) {
    const bool any = std::any_of(thresholds.begin(), thresholds.end(), [i](const Threshold& threshold) {
      return threshold.signal[i] > threshold.value;
    });
    if (any && !inside) {
      double onset_s = time_s[i];
      for (const Threshold& threshold : thresholds) {
        if (i > 0 && threshold.signal[i] > threshold.value) {
          onset_s = std::min(onset_s, crossing_s(time_s, threshold, i - 1));
        }
      }
      spans.push_back({onset_s, time_s.back()});
    }
    if (!any && inside) {
      double release_s = time_s[i - 1];
      for (const Threshold& threshold : thresholds) {
        if (threshold.signal[i - 1] > threshold.value) {
          release_s = std::max(release_s, crossing_s(time_s, threshold, i - 1));
        }
      }
      spans.back().release_s = release_s;
    }
    inside = any;
  }
  return spans;
}

std::vector<Span> merged(const std::vector<Span>& spans, double merge_s) {
  std::vector<Span> result;
  for (const Span& span : spans) {
    if (!result.empty() && span.onset_s - result.back().release_s <= merge_s) {
      result.back().release_s = span.release_s;
    } else {
      result.push_back(span);
    }
  }
  return result;
}

// Calls visit(t, previous t) over the ends of the span and the samples inside it.
template <typename Visit>
void walk(const std::vector<double>& time_s, const Span& span, const Visit& visit) {
  double before_s = span.onset_s;
  visit(before_s, before_s);
  const auto first = std::upper_bound(time_s.begin(), time_s.end(), span.onset_s);
  for (auto t = first; t != time_s.end() && *t < span.release_s; ++t) {
    visit(*t, before_s);
    before_s = *t;
  }
  visit(span.release_s, before_s);
}

double distance_m(const Log& log, const Span& span) {
  Interpolator speed(log.time_s, log[Signal::kSpeed]);
  double distance = 0;
  double before_mps = speed.at(span.onset_s);
  walk(log.time_s, span, [&](double t, double before_s) {
    const double now_mps = speed.at(t);
    distance += 0.5 * (before_mps + now_mps) * (t - before_s);
    before_mps = now_mps;
  });
  return distance;
}

double peak(const Log& log, const std::vector<double>& signal, const Span& span) {
  if (signal.empty()) return 0;
  Interpolator value(log.time_s, signal);
  double greatest = value.at(span.onset_s);
  walk(log.time_s, span, [&](double t, double) { greatest = std::max(greatest, value.at(t)); });
  return greatest;
}

}  // namespace

absl::StatusOr<std::vector<Stop>> find_stops(const Log& log, const StopRule& rule) {
  Findings findings(log.file);
  const std::vector<Threshold> thresholds = collect_thresholds(log, rule, findings);
  check_rule(log, rule, findings);
  if (!findings.sound()) return findings.status();

  const std::vector<double> deceleration = deceleration_mps2(log);
  const std::vector<double> pressure = pressure_pa(log);
  Interpolator speed(log.time_s, log[Signal::kSpeed]);
  std::vector<Stop> stops;
  for (const Span& span : merged(exceeded_spans(log.time_s, thresholds), rule.merge_s)) {
    if (span.release_s - span.onset_s < rule.shortest_s) continue;
    Stop stop;
    stop.entry_speed_mps = speed.at(span.onset_s);
    if (stop.entry_speed_mps < rule.least_entry_speed_mps) continue;
    stop.exit_speed_mps = speed.at(span.release_s);
    stop.onset_s = span.onset_s;
    stop.release_s = span.release_s;
    stop.start_s = std::max(log.time_s.front(), span.onset_s - rule.padding_s);
    stop.end_s = std::min(log.time_s.back(), span.release_s + rule.padding_s);
    stop.distance_m = distance_m(log, span);
    stop.peak_deceleration_mps2 = peak(log, deceleration, span);
    stop.peak_pressure_pa = peak(log, pressure, span);
    if (stop.distance_m > 0) {
      stop.mean_deceleration_mps2 =
          (stop.entry_speed_mps * stop.entry_speed_mps - stop.exit_speed_mps * stop.exit_speed_mps) /
          (2 * stop.distance_m);
    }
    stops.push_back(stop);
  }
  return stops;
}

}  // namespace brakeward::recording
