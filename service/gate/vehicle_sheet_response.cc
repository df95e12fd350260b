#include "gate/vehicle_sheet_response.h"

#include <string_view>

#include "document/defaults.h"
#include "math/check.h"
#include "math/curve.h"
#include "replay/replay.h"
#include "signal/observables.h"

namespace brakeward::gate {
namespace {

constexpr double kForce = 100;  // N, at the pedal; any force will do
constexpr double kOnset_s = 0.2;
constexpr double kReached = 0.9;
constexpr double kPerBar = 1e5;  // Pa

math::Curve<double> curve_through(const std::vector<double>& x, const std::vector<double>& y, int* segments) {
  const auto made = math::make_curve(x, y, segments);
  math::check(made.ok(), "the sheet's curve was refused");
  return *made;
}

double time_to(const replay::Trace& trace, size_t column, double level) {
  constexpr size_t n = signal::kObservableCount;
  for (size_t i = 1; i < static_cast<size_t>(trace.ticks); ++i) {
    const double before = trace.rows[(i - 1) * n + column] * kPerBar;
    const double now = trace.rows[i * n + column] * kPerBar;
    if (before >= level || now < level) continue;
    const double from = trace.rows[(i - 1) * n], to = trace.rows[i * n];
    return from + (level - before) / (now - before) * (to - from) - kOnset_s;
  }
  return -1;
}

void ask_for(double mean_pressure, replay::ReplayPlan& plan) {
  plant::SensorParams<double>& sensor = plan.params.plant.sensor;
  sensor.pedal_zero = 0;
  sensor.pedal_slope = 1 / kForce;
  sensor.voltage_step = 0;
  control::RequestParams<double>& r = plan.params.control.request;
  r.pedal_zero = r.pedal_dead_band = 0;
  r.pedal_scale = kForce;
  int none = 0;
  r.hand_feel = curve_through({0}, {0}, &none);
  // The curve's own segments only: those beyond are zero and change nothing.
  int segments = 0;
  r.pedal_feel = curve_through({0, kForce}, {0, mean_pressure}, &segments);
  control::ControlStructure& st = plan.structure.control;
  st.pedal_segments = st.pedal_segments > segments ? st.pedal_segments : segments;
  st.supervised = false;  // the sensor's volts are not those of the car
}

}  // namespace

PerAxle response(replay::ReplayPlan plan, double mean_pressure, const PerAxle& target) {
  ask_for(mean_pressure, plan);
  const replay::Trace trace = replay::trace(plan);
  constexpr size_t kFront = signal::column_of("pressure_front"), kRear = signal::column_of("pressure_rear");
  return {
      {time_to(trace, kFront, kReached * target.front()), time_to(trace, kRear, kReached * target.rear())}};
}

void make_transparent(control::ControlParams<double>& control) {
  constexpr double kUnlimited = 1e12;
  control.request.pedal_smoothing = 1;
  control::PressureParams<double>& p = control.pressure;
  p.rise_per_tick = p.fall_per_tick = p.demand_limit = kUnlimited;
  p.proportional = p.integral_per_tick = p.prefill = p.prefill_ticks = 0;
  for (double& slip : control.slip.release_slip) slip = 2;  // never
}

v1::Scenario response_scenario(double cargo_kg) {
  v1::Scenario s;
  s.set_name("vehicle sheet");
  v1::SyntheticInput& step = *s.mutable_synthetic();
  step.set_shape(v1::SYNTHETIC_SHAPE_STEP);
  step.set_control(v1::REQUEST_CONTROL_PEDAL);
  step.set_force_n(kForce);
  step.set_onset_s(kOnset_s);
  step.set_hold_s(kResponseLimit_s);
  s.set_entry_point(v1::ENTRY_POINT_REQUEST);
  s.set_end_rule(v1::END_RULE_END_OF_INPUT);
  s.set_initial_speed_kph(100);
  s.set_cargo_kg(cargo_kg);
  v1::CurvePoint& point = *s.mutable_road()->mutable_friction_left()->add_points();
  point.set_x(0);
  point.set_y(2);
  document::resolve_defaults(&s);
  return s;
}

}  // namespace brakeward::gate
