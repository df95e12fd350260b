#include "report/figure.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

#include "report/figure_ticks.h"
#include "signal/observables.h"
#include "signal/onset.h"
#include "verdict/concat.h"

namespace brakeward::report {
namespace {

using signal::column_of;
using Series = std::vector<double>;

constexpr double kNothing = std::numeric_limits<double>::quiet_NaN();
constexpr double kBeforeResponse = 0.05;  // s
constexpr double kAfterResponse = 0.15;   // s
constexpr double kLongestResponse = 3;    // s
constexpr double kWithoutCrossing = 1;    // s shown where the 90 % level is never reached

constexpr size_t kSpeed = column_of("speed");
constexpr size_t kReference = column_of("reference_pressure_front");
constexpr size_t kFrontPressure = column_of("pressure_front");
constexpr size_t kFrontTarget = column_of("target_front");
constexpr size_t kNoColumn = signal::kObservableCount;

// When a plot says nothing and is left out.
enum class Quiet { kNever, kNoTravel, kNoForce, kZero, kOne, kSteady };

constexpr double kOnset_mm = 1e3 * signal::kOnsetTravel;
constexpr double kSteady_k = 1;  // a temperature that moves less says nothing

struct PanelSpec {
  std::string_view title, unit;
  double factor, resolution;
  Quiet quiet;
  size_t replayed;            // under candidate and baseline
  size_t right = kNoColumn;   // the right wheel's, where `replayed` is the left one's
  size_t shared = kNoColumn;  // the same under both: input or reference
  size_t recorded = kNoColumn;
  bool steps = false;
};

constexpr PanelSpec kPanels[] = {
    {"Hand control travel", "mm", 1, 0.01, Quiet::kNoTravel, kNoColumn, kNoColumn, column_of("hand_travel")},
    {"Pedal force", "N", 1, 0.1, Quiet::kNoForce, kNoColumn, kNoColumn, column_of("pedal_force")},
    {"Front circuit pressure", "bar", 1, 0.01, Quiet::kNever, kFrontPressure, kNoColumn, kReference,
     column_of("recorded_pressure")},
    {"Rear circuit pressure", "bar", 1, 0.01, Quiet::kNever, column_of("pressure_rear")},
    {"Deceleration", "m/s^2", 1, 0.01, Quiet::kNever, column_of("deceleration"), kNoColumn, kNoColumn,
     column_of("recorded_deceleration")},
    {"Speed", "m/s", 1, 0.01, Quiet::kNever, kSpeed},
    {"Braking slip, front wheels", "%", 100, 0.01, Quiet::kZero, column_of("brake_slip_front_left"),
     column_of("brake_slip_front_right")},
    {"Braking slip, rear wheels", "%", 100, 0.01, Quiet::kZero, column_of("brake_slip_rear_left"),
     column_of("brake_slip_rear_right")},
    {"Front disc, friction face", "degC", 1, 0.01, Quiet::kSteady, column_of("disc_front_left")},
    {"Rear disc, friction face", "degC", 1, 0.01, Quiet::kSteady, column_of("disc_rear_left")},
    {"Front brake fluid", "degC", 1, 0.01, Quiet::kSteady, column_of("fluid_front_left")},
    {"Rear brake fluid", "degC", 1, 0.01, Quiet::kSteady, column_of("fluid_rear_left")},
    {"Front demand left by the slip limiter", "%", 100, 0.01, Quiet::kOne, column_of("slip_factor_front")},
    {"Rear demand left by the slip limiter", "%", 100, 0.01, Quiet::kOne, column_of("slip_factor_rear")},
    {"Request state", "", 1, 1, Quiet::kZero, column_of("request_state"), kNoColumn, kNoColumn, kNoColumn,
     true},
    {"Wheels without load", "", 1, 1, Quiet::kZero, column_of("lifted_wheels"), kNoColumn, kNoColumn,
     kNoColumn, true},
    {"Lateral force unmet", "N", 1, 1, Quiet::kZero, column_of("lateral_force_unmet")},
    {"Yaw moment unmet", "N m", 1, 1, Quiet::kZero, column_of("yaw_moment_unmet")},
    {"Front motor torque", "N m", 1, 0.1, Quiet::kZero, column_of("motor_torque_front")},
    {"Rear motor torque", "N m", 1, 0.1, Quiet::kZero, column_of("motor_torque_rear")},
    {"Battery charge", "%", 1, 0.01, Quiet::kZero, column_of("battery_charge")},
    {"Energy recovered", "kJ", 1, 0.01, Quiet::kZero, column_of("energy_recovered")},
};

Series values_of(const Series& rows, size_t column, double factor) {
  Series out;
  for (size_t i = column; i < rows.size(); i += signal::kObservableCount)
    out.push_back(rows[i] <= signal::kNothingRecorded ? kNothing : factor * rows[i]);
  return out;
}

bool has_values(const Series& y) {
  return std::any_of(y.begin(), y.end(), [](double v) { return std::isfinite(v); });
}

bool is_zero(const Series& y) {
  return std::all_of(y.begin(), y.end(), [](double v) { return v == 0; });
}

void blank_at_low_speed(const Series& rows, Series& y) {
  const Series speed = values_of(rows, kSpeed, 1);
  for (size_t i = 0; i < y.size(); ++i)
    if (!(speed[i] > kSlipAbove_mps)) y[i] = kNothing;
}

// Lines at every tick, before they are thinned.
class Lines {
 public:
  explicit Lines(const ScenarioTraces& traces) : traces_(traces) {}

  // The candidate first: what is drawn later lies on top, and its dashes leave the candidate to be seen.
  std::vector<Line> of(const PanelSpec& spec) const {
    std::vector<Line> out;
    if (spec.replayed != kNoColumn) {
      add_replayed(LineKind::kCandidate, traces_.candidate, spec, out);
      add_replayed(LineKind::kBaseline, traces_.baseline, spec, out);
    }
    if (spec.shared != kNoColumn) {
      const LineKind kind = spec.replayed == kNoColumn ? LineKind::kInput : LineKind::kReference;
      add(kind, "", longer(), spec.shared, spec.factor, out);
      // There is none where the replay enters at pressure.
      if (kind == LineKind::kReference && !out.empty() && is_zero(out.back().values)) out.pop_back();
    }
    if (spec.recorded != kNoColumn) add(LineKind::kRecording, "", longer(), spec.recorded, spec.factor, out);
    if (spec.replayed == kSpeed && has_values(traces_.recorded_speed_mps)) {
      Series recorded = traces_.recorded_speed_mps;
      recorded.resize(std::min(recorded.size(), longer().size() / signal::kObservableCount));
      out.push_back({LineKind::kRecording, "", std::move(recorded)});
    }
    return out;
  }

 private:
  // Input and recording are the same in both; the one that lasts longer has more of them.
  const Series& longer() const {
    return traces_.baseline.size() > traces_.candidate.size() ? traces_.baseline : traces_.candidate;
  }

  static void add(LineKind kind, std::string_view side, const Series& rows, size_t column, double factor,
                  std::vector<Line>& out) {
    Series values = values_of(rows, column, factor);
    if (has_values(values)) out.push_back({kind, side, std::move(values)});
  }

  static void add_replayed(LineKind kind, const Series& rows, const PanelSpec& spec, std::vector<Line>& out) {
    const size_t before = out.size();
    add(kind, "", rows, spec.replayed, spec.factor, out);
    if (spec.right == kNoColumn || out.size() == before) return;
    add(kind, "", rows, spec.right, spec.factor, out);
    for (size_t i = before; i < out.size(); ++i) blank_at_low_speed(rows, out[i].values);
  }

  const ScenarioTraces& traces_;
};

bool same(const Series& a, const Series& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](double x, double y) { return x == y || (std::isnan(x) && std::isnan(y)); });
}

// Left and right get one line where they run alike under both calibrations.
void name_sides(std::vector<Line>& lines) {
  bool differ = false;
  for (size_t i = 0; i + 1 < lines.size(); i += 2) differ |= !same(lines[i].values, lines[i + 1].values);
  std::vector<Line> out;
  for (size_t i = 0; i < lines.size(); ++i) {
    lines[i].side = !differ ? "" : i % 2 == 0 ? "left" : "right";
    if (differ || i % 2 == 0) out.push_back(std::move(lines[i]));
  }
  lines = std::move(out);
}

// Why a plot would say nothing; empty when it says something.
std::string why_quiet(const std::vector<Line>& lines, Quiet rule) {
  double low = std::numeric_limits<double>::infinity(), high = -low;
  for (const Line& line : lines)
    for (const double v : line.values)
      if (std::isfinite(v)) low = std::min(low, v), high = std::max(high, v);
  if (low > high) return "nothing to draw";
  switch (rule) {
    case Quiet::kNever:
      return "";
    case Quiet::kNoTravel:
      return high <= kOnset_mm ? "no more than 2 mm throughout" : "";
    case Quiet::kNoForce:
      return high <= signal::kOnsetForce ? "no more than 22 N throughout" : "";
    case Quiet::kZero:
      return low == 0 && high == 0 ? "0 throughout" : "";
    case Quiet::kOne:
      return low == 100 && high == 100 ? "100 % throughout" : "";
    case Quiet::kSteady:
      return high - low < kSteady_k ? "moves less than 1 degC" : "";
  }
  return "";
}

Series at(const Series& y, std::span<const size_t> ticks) {
  Series out;
  for (const size_t t : ticks)
    if (t < y.size()) out.push_back(y[t]);
  return out;
}

void thin(std::span<const size_t> ticks, Panel& panel) {
  for (Line& line : panel.lines) line.values = at(line.values, ticks);
}

std::vector<size_t> ticks_of(const std::vector<Panel>& panels) {
  std::vector<Series> all;
  for (const Panel& panel : panels)
    for (const Line& line : panel.lines) all.push_back(line.values);
  return telling_ticks(all, kFigurePoints);
}

// Time at which a front pressure first reaches the 90 % level; the end of the replay when it never does.
double crossing_s(const Series& rows, const ResponseLevels& r, double tick_s) {
  const Series pressure = values_of(rows, kFrontPressure, 1);
  const auto it =
      std::find_if(pressure.begin(), pressure.end(), [&](double p) { return p >= r.level_bar[2]; });
  const double begin_s = std::max(0.0, r.reference_s[0]);
  if (it == pressure.end()) return begin_s + kWithoutCrossing;
  return static_cast<double>(it - pressure.begin() + 1) * tick_s;
}

// The stretch from just before the demand to just after 90 % of it.
std::vector<size_t> response_ticks(const ScenarioTraces& t) {
  if (!t.response || t.response->reference_s[0] < 0) return {};
  const ResponseLevels& r = *t.response;
  const size_t rows = std::max(t.candidate.size(), t.baseline.size()) / signal::kObservableCount;
  if (rows == 0) return {};
  const double begin = std::max(0.0, r.reference_s[0] - kBeforeResponse);
  double end = std::max(r.reference_s[2], crossing_s(t.candidate, r, t.tick_s));
  if (!t.baseline.empty()) end = std::max(end, crossing_s(t.baseline, r, t.tick_s));
  end = std::min(end + kAfterResponse, begin + kLongestResponse);
  const size_t first = std::min(rows - 1, static_cast<size_t>(std::llround(begin / t.tick_s)));
  const size_t last = std::min(rows - 1, static_cast<size_t>(std::llround(end / t.tick_s)));
  const size_t stride = 1 + (last - first) / kFigurePoints;
  std::vector<size_t> out;
  for (size_t i = first; i <= last; i += stride) out.push_back(i);
  return out;
}

Panel response_panel(const ScenarioTraces& t, std::span<const size_t> ticks) {
  Panel panel{"Front circuit pressure", "bar", 0.01, false, {}};
  const auto add = [&](LineKind kind, const Series& rows, size_t column) {
    Series values = at(values_of(rows, column, 1), ticks);
    if (has_values(values)) panel.lines.push_back({kind, "", std::move(values)});
  };
  add(LineKind::kCandidate, t.candidate, kFrontPressure);
  add(LineKind::kBaseline, t.baseline, kFrontPressure);
  add(LineKind::kReference, t.candidate, kReference);
  add(LineKind::kTarget, t.candidate, kFrontTarget);
  return panel;
}

}  // namespace

Figure make_figure(const ScenarioTraces& traces) {
  Figure figure;
  figure.scenario = traces.scenario;
  figure.tick_s = traces.tick_s;
  figure.faults = traces.faults;
  const Lines lines(traces);
  for (const PanelSpec& spec : kPanels) {
    Panel panel{spec.title, spec.unit, spec.resolution, spec.steps, lines.of(spec)};
    if (spec.right != kNoColumn) name_sides(panel.lines);
    const std::string quiet = why_quiet(panel.lines, spec.quiet);
    if (quiet.empty())
      figure.panels.push_back(std::move(panel));
    else
      figure.quiet.push_back(verdict::concat(spec.title, " (", quiet, ")"));
  }
  figure.ticks = ticks_of(figure.panels);
  for (Panel& panel : figure.panels) thin(figure.ticks, panel);
  figure.response_ticks = response_ticks(traces);
  if (figure.response_ticks.empty()) return figure;
  figure.response = traces.response;
  figure.response_panel = response_panel(traces, figure.response_ticks);
  return figure;
}

}  // namespace brakeward::report
