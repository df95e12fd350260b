#include "gate/fit_stops.h"

#include <algorithm>
#include <cmath>

#include "compile/compile.h"
#include "math/constants.h"

namespace brakeward::gate {
namespace {

using recording::Signal;

constexpr double kStraightBelow = 0.35;  // g, lateral
constexpr double kBrakedAbove = 1;       // bar, logged pressure
constexpr double kSpanLag = 0.1;         // s; fixed, so that every assumed lag is judged on the same samples
constexpr double kBar = 1e5;             // Pa
constexpr double kShortestSpan = 0.5;    // s

std::vector<double> later(const recording::Log& log, Signal s, double lag_s) {
  std::vector<double> out;
  for (double t : log.time_s) out.push_back(recording::resample(log, s, t - lag_s, 1, 1).front());
  return out;
}

// The log with its pressures moved later, so that they meet the deceleration they cause as it was logged.
recording::Log lagged(const recording::Log& log, double lag_s) {
  recording::Log out = log;
  for (Signal s : {Signal::kFrontPressure, Signal::kRearPressure})
    if (log.has(s)) out.signals[static_cast<size_t>(s)] = later(log, s, lag_s);
  return out;
}

// Peak friction at nominal load by this factor, its change with load as it was.
void scale_peak(double factor, v1::Tyre& t) {
  if (!t.has_coefficients_1987()) {
    t.set_p_dx1(factor * t.p_dx1());
    return;
  }
  v1::MagicFormula1987& m = *t.mutable_coefficients_1987();
  const double falling = m.a1() * 1e-3 * t.nominal_load_n();  // D / F_z = a1 F_z + a2, F_z in kN
  m.set_a2(factor * (falling + m.a2()) - falling);
}

v1::Vehicle assumed(const v1::Vehicle& vehicle, const Assumption& a) {
  v1::Vehicle out = vehicle;
  v1::Aero& aero = *out.mutable_aero();
  aero.set_drag_area_m2(a.drag_factor * aero.drag_area_m2());
  aero.set_front_downforce_area_m2(a.downforce_factor * aero.front_downforce_area_m2());
  aero.set_rear_downforce_area_m2(a.downforce_factor * aero.rear_downforce_area_m2());
  for (v1::Tyre* t : {out.mutable_front_tyre(), out.mutable_rear_tyre()}) scale_peak(a.tyre_peak_factor, *t);
  if (!a.engine_braking) out.mutable_driveline()->set_engine_braking_nm(0);
  return out;
}

absl::Status refuse(const scenario::Loaded<v1::Scenario>& s, const std::string& text) {
  return absl::InvalidArgumentError(s.file.string() + ": recorded: " + text);
}

struct Span {
  size_t first, last;  // samples of the log
};

// From the first to the last sample that is straight and braked; marks them on the way.
absl::StatusOr<Span> straight_braked(const scenario::Loaded<v1::Scenario>& s, const recording::Log& log,
                                     std::vector<char>& marks) {
  const auto braked = later(log, Signal::kFrontPressure, kSpanLag);
  const auto& lateral = log[Signal::kLateralAcceleration];
  const auto& r = s.message.recorded();
  marks.assign(log.time_s.size(), 0);
  Span span{log.time_s.size(), 0};
  for (size_t i = 0; i < log.time_s.size(); ++i) {
    if (log.time_s[i] < r.start_s() - 1e-9 || log.time_s[i] > r.end_s() + 1e-9) continue;
    const bool straight = lateral.empty() || std::fabs(lateral[i]) < kStraightBelow * math::kGravity;
    if (!straight || braked[i] <= kBrakedAbove * kBar) continue;
    marks[i] = 1;
    span.first = std::min(span.first, i);
    span.last = i;
  }
  if (span.first >= span.last || log.time_s[span.last] - log.time_s[span.first] < kShortestSpan)
    return refuse(s,
                  "no straight braked part of 0.5 s (|lateral acceleration| < 0.35 g, pressure above 1 bar) "
                  "in this stretch; leave the scenario out of the library or widen the stretch");
  return span;
}

void sample(const recording::Log& log, const recording::Log& moved, const Span& span, double start_s,
            const std::vector<char>& marks, SampledStop& out) {
  const auto deceleration = recording::deceleration_mps2(log);
  for (size_t i = span.first; i <= span.last; ++i) {
    out.time_s.push_back(log.time_s[i] - start_s);
    out.speed_mps.push_back(log[Signal::kSpeed][i]);
    out.deceleration_mps2.push_back(deceleration[i]);
    out.pressure_bar.push_back(moved[Signal::kFrontPressure][i] / kBar);
    out.straight.push_back(marks[i]);
  }
  out.speed_drop_mps = out.speed_mps.front() - out.speed_mps.back();
  for (size_t i = 1; i < out.time_s.size(); ++i)
    out.distance_m += 0.5 * (out.speed_mps[i - 1] + out.speed_mps[i]) * (out.time_s[i] - out.time_s[i - 1]);
}

absl::StatusOr<SampledStop> sample_stop(const scenario::Library& library, const v1::Vehicle& vehicle,
                                        const scenario::Loaded<v1::Scenario>& s, const Assumption& a) {
  const recording::Log& log = library.recording_named(s.message.recorded().recording())->log;
  if (!log.has(Signal::kFrontPressure) || !log.has(Signal::kSpeed))
    return refuse(s, "a fit needs front pressure and speed in the recording; map both channels");
  SampledStop out;
  out.scenario = s.message.name();
  out.group = out.scenario.substr(0, out.scenario.find('_'));
  out.lateral_logged = log.has(Signal::kLateralAcceleration);
  v1::Scenario scenario = s.message;
  if (a.level_road) scenario.mutable_road()->clear_grade();
  std::vector<char> marks;
  const auto span = straight_braked(s, log, marks);
  if (!span.ok()) return span.status();
  const recording::Log moved = lagged(log, a.lag_s);
  sample(log, moved, *span, scenario.recorded().start_s(), marks, out);
  if (out.speed_drop_mps <= 0)
    return refuse(s, "the car does not slow down over the straight braked part; there is nothing to fit");
  const v1::Calibration& any = library.calibrations.front().message;  // bypassed
  auto compiled = compile::compile({vehicle, any, any, scenario, &moved});
  if (!compiled.ok())
    return absl::InvalidArgumentError(s.file.string() + ": " + std::string(compiled.status().message()));
  out.plan = std::move(compiled->plan);
  out.plan.params.ends_standing = 0;
  out.plan.params.last_tick = std::ceil(out.time_s.back() / out.plan.structure.plant.tick_s);
  return out;
}

}  // namespace

double trapezoids(const std::vector<double>& time_s, const std::vector<double>& speed_mps) {
  double sum = 0;
  for (size_t i = 1; i < time_s.size(); ++i)
    sum += 0.5 * (speed_mps[i - 1] + speed_mps[i]) * (time_s[i] - time_s[i - 1]);
  return sum;
}

absl::StatusOr<std::vector<SampledStop>> sample_stops(const scenario::Library& library,
                                                      const Assumption& assumption) {
  if (library.calibrations.empty())
    return absl::InvalidArgumentError((library.folder / "library.textproto").string() +
                                      ": calibration_files: none; a fit needs one to compile with, though "
                                      "its content has no effect. List one");
  const v1::Vehicle vehicle = assumed(library.vehicle.message, assumption);
  std::vector<SampledStop> stops;
  std::string faults;
  for (const auto& s : library.scenarios) {
    if (s.message.entry_point() != v1::ENTRY_POINT_PRESSURE) continue;
    auto stop = sample_stop(library, vehicle, s, assumption);
    if (stop.ok())
      stops.push_back(*std::move(stop));
    else
      faults += std::string(stop.status().message()) + "\n";
  }
  if (!faults.empty()) return absl::InvalidArgumentError(faults);
  return stops;
}

}  // namespace brakeward::gate
