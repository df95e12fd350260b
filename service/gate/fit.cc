#include "gate/fit.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "compile/check_vehicle.h"
#include "gate/fit_predict.h"
#include "gate/fit_stops.h"
#include "replay/replay.h"

namespace brakeward::gate {
namespace {

constexpr double kLongestLag = 0.5;  // s

using Stops = std::vector<SampledStop>;
using Chosen = std::vector<const SampledStop*>;

Chosen without(const Stops& stops, const std::string& group) {
  Chosen out;
  for (const auto& s : stops)
    if (s.group != group) out.push_back(&s);
  return out;
}

double percentile(std::vector<double> values, double share) {
  std::sort(values.begin(), values.end());
  const double at = share * static_cast<double>(values.size() - 1);
  const size_t low = static_cast<size_t>(at), high = std::min(low + 1, values.size() - 1);
  return values[low] + (at - static_cast<double>(low)) * (values[high] - values[low]);
}

using Error = double Prediction::*;
using Predictor = Prediction FitStop::*;

ErrorSummary summary_of(const std::vector<FitStop>& stops, Predictor who, Error what, double& bias) {
  std::vector<double> sizes;
  bias = 0;
  for (const auto& s : stops) {
    sizes.push_back(std::fabs(s.*who.*what));
    bias += s.*who.*what / static_cast<double>(stops.size());
  }
  return {percentile(sizes, 0.5), percentile(sizes, 0.9)};
}

PredictorSummary summary_of(const std::vector<FitStop>& stops, Predictor who) {
  PredictorSummary out;
  out.speed_drop = summary_of(stops, who, &Prediction::speed_drop_error, out.speed_drop_bias);
  out.distance = summary_of(stops, who, &Prediction::distance_error, out.distance_bias);
  return out;
}

PairedGain paired(const std::vector<FitStop>& stops, Predictor other, Error what) {
  PairedGain out;
  const double n = static_cast<double>(stops.size());
  const auto nearer = [&](const FitStop& s) { return std::fabs(s.*other.*what) - std::fabs(s.model.*what); };
  for (const auto& s : stops) {
    out.mean += nearer(s) / n;
    out.stops_nearer += nearer(s) > 0;
  }
  double square = 0;
  for (const auto& s : stops) square += (nearer(s) - out.mean) * (nearer(s) - out.mean);
  out.standard_error = std::sqrt(square / (n - 1) / n);
  return out;
}

FitStop facts_of(const SampledStop& s) {
  FitStop out;
  out.scenario = s.scenario;
  out.group = s.group;
  out.start_s = s.time_s.front();
  out.end_s = s.time_s.back();
  out.entry_speed_mps = s.speed_mps.front();
  out.speed_drop_mps = s.speed_drop_mps;
  out.distance_m = s.distance_m;
  out.peak_pressure_bar = *std::max_element(s.pressure_bar.begin(), s.pressure_bar.end());
  return out;
}

// Everything but the sensitivity: fits on all stops, then predicts each group with fits on the others.
absl::Status predict_all(const Stops& stops, FitReport& report) {
  const Chosen all = without(stops, "");
  const auto whole = fit_gain_on(all, 1);
  if (!whole.ok()) return whole.status();
  report.gain = whole->gain;
  report.speed_residual = whole->residual_mps;
  report.gain_lowest = report.gain_highest = 0;
  std::set<std::string> groups;
  for (const auto& s : stops) {
    report.stops.push_back(facts_of(s));
    groups.insert(s.group);
  }
  for (const auto& group : groups) {
    const Chosen others = without(stops, group);
    const auto gain = fit_gain_on(others, 1);
    if (!gain.ok()) return gain.status();
    const auto line = fit_line_on(others);
    if (!line.ok()) return line.status();
    const Line constant = fit_constant_on(others);
    const bool first = report.gain_lowest == 0;
    report.gain_lowest = first ? gain->gain : std::min(report.gain_lowest, gain->gain);
    report.gain_highest = first ? gain->gain : std::max(report.gain_highest, gain->gain);
    for (size_t i = 0; i < stops.size(); ++i) {
      if (stops[i].group != group) continue;
      const auto course = replay_course(stops[i], gain->gain);
      if (!course.ok()) return course.status();
      report.stops[i].gain = gain->gain;
      report.stops[i].model = judge_course(stops[i], *course);
      report.stops[i].line = judge_course(stops[i], line_course(stops[i], *line));
      report.stops[i].constant = judge_course(stops[i], line_course(stops[i], constant));
    }
  }
  report.model = summary_of(report.stops, &FitStop::model);
  report.line = summary_of(report.stops, &FitStop::line);
  report.constant = summary_of(report.stops, &FitStop::constant);
  return absl::OkStatus();
}

struct Case {
  std::string name;
  Assumption assumption;
};

// The lags and what of the estimated car or road weighs most.
std::vector<Case> cases(double lag_s) {
  std::vector<Case> out;
  for (int ms : {0, 50, 100, 150, 200}) out.push_back({"lag " + std::to_string(ms) + " ms", {ms * 1e-3}});
  const auto add = [&](std::string name, auto change) {
    Assumption a{lag_s};
    change(a);
    out.push_back({std::move(name), a});
  };
  add("drag area -25 %", [](Assumption& a) { a.drag_factor = 0.75; });
  add("drag area +25 %", [](Assumption& a) { a.drag_factor = 1.25; });
  add("downforce -50 %", [](Assumption& a) { a.downforce_factor = 0.5; });
  add("downforce +50 %", [](Assumption& a) { a.downforce_factor = 1.5; });
  add("tyre peak -30 %", [](Assumption& a) { a.tyre_peak_factor = 0.7; });
  add("level road", [](Assumption& a) { a.level_road = true; });
  add("no engine braking", [](Assumption& a) { a.engine_braking = false; });
  return out;
}

Sensitivity try_case(const scenario::Library& library, const Case& c) {
  Sensitivity out;
  out.assumption = c.name;
  const auto stops = sample_stops(library, c.assumption);
  FitReport report;
  const absl::Status status = stops.ok() ? predict_all(*stops, report) : stops.status();
  out.fitted = status.ok();
  out.reason = std::string(status.message());
  out.gain = report.gain;
  out.model = report.model;
  out.line = report.line;
  if (out.fitted) out.drop_over_line = paired(report.stops, &FitStop::line, &Prediction::speed_drop_error);
  return out;
}

absl::Status check_stops(const Stops& stops, const std::filesystem::path& library) {
  std::set<std::string> groups;
  for (const auto& s : stops) groups.insert(s.group);
  if (stops.size() >= 3 && groups.size() >= 2) return absl::OkStatus();
  return absl::InvalidArgumentError(
      (library / "library.textproto").string() + ": scenario_files: " + std::to_string(stops.size()) +
      " stops that enter at pressure, in " + std::to_string(groups.size()) +
      " groups (the name before its first '_'); leaving one group out needs three stops in two groups");
}

}  // namespace

absl::StatusOr<FitReport> fit_gain(const FitOptions& options) {
  if (!(options.lag_s >= 0 && options.lag_s <= kLongestLag))
    return absl::InvalidArgumentError("lag: " + std::to_string(options.lag_s) +
                                      " s; give 0 to 0.5 s from pressure to deceleration");
  if (absl::Status machine = replay::check_machine(); !machine.ok()) return machine;
  document::Faults faults;
  const scenario::Library library = scenario::load_library(options.library, options.load, faults);
  if (faults.empty()) compile::check_vehicle(library.vehicle.message, library.vehicle.file.string(), faults);
  if (!faults.empty()) return faults.status();
  const auto stops = sample_stops(library, Assumption{options.lag_s});
  if (!stops.ok()) return stops.status();
  if (absl::Status enough = check_stops(*stops, options.library); !enough.ok()) return enough;
  FitReport report;
  report.library = library.index.name();
  report.lag_s = options.lag_s;
  report.lateral_logged = stops->front().lateral_logged;
  if (absl::Status status = predict_all(*stops, report); !status.ok()) return status;
  report.drop_over_line = paired(report.stops, &FitStop::line, &Prediction::speed_drop_error);
  report.distance_over_line = paired(report.stops, &FitStop::line, &Prediction::distance_error);
  report.drop_over_constant = paired(report.stops, &FitStop::constant, &Prediction::speed_drop_error);
  report.distance_over_constant = paired(report.stops, &FitStop::constant, &Prediction::distance_error);
  if (options.sensitivity)
    for (const Case& c : cases(options.lag_s)) report.sensitivity.push_back(try_case(library, c));
  return report;
}

}  // namespace brakeward::gate
