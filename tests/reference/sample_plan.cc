#include "reference/sample_plan.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "math/check.h"
#include "math/curve.h"
#include "measure/measures.h"

namespace brakeward::reference {
namespace {

constexpr double kBar = 1e5;
constexpr double kNeverTick = 1e15;
constexpr double kFrontShare = 0.62;

plant::TyreParams<double> tyre() {
  plant::TyreParams<double> t{};
  t.nominal_load = 4000;
  t.c = 1.6;
  t.d1 = 1.15;
  t.d2 = -0.05;
  t.e1 = 0.35;
  t.e2 = 0.09;
  t.e3 = -0.02;
  t.k1 = 22;
  t.k2 = -0.2;
  t.k3 = 0.22;
  t.radius = 0.32;
  t.inertia = 1.3;
  t.relaxation = 0.2;
  t.rolling = 0.013;
  t.low_speed_damping = 8000;
  t.lateral_ratio = 1;
  return t;
}

plant::BrakeParams<double> brake(double area, double radius, double disc_mass, double stiffness_bar_per_cm3,
                                 int* pad_segments) {
  plant::BrakeParams<double> b{};
  b.torque_per_pascal = 2 * area * radius;
  b.opening_pressure = 0.5 * kBar;
  b.pad = curve({{20, 0.40}, {150, 0.43}, {350, 0.45}, {550, 0.42}, {750, 0.36}}, pad_segments);
  b.pad_per_pressure.y0 = b.pad_per_speed.y0 = 1;
  b.heat = plant::heat_params(sample_heat(disc_mass));
  b.clearance = 0.2e-6;
  b.knee = 0.1e-6;
  b.stiffness = stiffness_bar_per_cm3 * kBar / 1e-6;
  b.flow_gain = 0.61 * 0.25 * 3.14159265358979 * 1.1e-3 * 1.1e-3 * std::sqrt(2 / 1060.0);
  b.laminar_pressure = 0.5 * kBar;
  return b;
}

plant::ActuatorParams<double> actuator(double tick_s, double flow_limit, double volume_limit) {
  plant::ActuatorParams<double> a{};
  a.dead_ticks = 0.014 / tick_s;
  a.lag = 0.014;
  a.stall_pressure = 150 * kBar;
  a.flow_limit = flow_limit;
  a.volume_limit = volume_limit;
  a.derated = 1;
  a.start_winding = 20;
  return a;
}

plant::PlantParams<double> car(const SampleOptions& o, plant::PlantStructure& st) {
  plant::PlantParams<double> p{};
  p.mass = 1500;
  p.wheelbase = 2.70;
  p.static_front = 0.55;
  p.cog_height = 0.54;
  p.track[0] = p.track[1] = 1.5;
  p.roll_share[0] = 0.55;
  p.roll_share[1] = 0.45;
  p.pitch_rate = 12;
  p.pitch_damping = 0.5;
  p.drag = 0.5 * 1.2 * 0.8;
  p.drag_height = 0.6;
  p.downforce[0] = 0.5 * 1.2 * 0.1;
  p.downforce[1] = 0.5 * 1.2 * 0.3;
  p.tyre[0] = p.tyre[1] = tyre();
  p.brake[0] = brake(25e-4, 0.140, 8.5, 140, &st.pad_segments);
  p.brake[1] = brake(15e-4, 0.132, 6.0, 190, &st.pad_segments);
  p.actuator[0] = actuator(o.tick_s, 40e-6, 4e-6);
  p.actuator[1] = actuator(o.tick_s, 30e-6, 3e-6);
  p.sensor.hand_zero[0] = 0.5;
  p.sensor.hand_zero[1] = 4.5;
  p.sensor.hand_slope[0] = 100;
  p.sensor.hand_slope[1] = -100;
  p.sensor.hand_limit = 0.040;
  p.sensor.pedal_zero = 0.5;
  p.sensor.pedal_slope = 0.004;
  p.sensor.voltage_step = 0.00122;
  p.sensor.pressure_step = 0.1 * kBar;
  p.sensor.wheel_speed_step = 0.02;
  p.road.friction[0] = p.road.friction[1] = curve({{0, o.road_friction}}, &st.friction_segments);
  p.road.grade = curve({{0, o.grade}}, &st.grade_segments);
  p.driven_share[0] = 0;
  p.driven_share[1] = 0.5;
  p.engine_braking = 160;
  p.engine_braking_fade = 5;
  p.traction_limit = 6000;
  p.ambient = 20;
  p.start_speed = o.start_speed;
  p.start_disc[0] = p.start_disc[1] = 120;
  p.start_fluid[0] = p.start_fluid[1] = 20;
  return p;
}

control::ControlParams<double> controller(const SampleOptions& o, control::ControlStructure& st) {
  control::ControlParams<double> c{};
  control::RequestParams<double>& r = c.request;
  r.hand_zero[0] = 0.5;
  r.hand_zero[1] = 4.5;
  r.hand_scale[0] = 0.010;
  r.hand_scale[1] = -0.010;
  r.volts_minimum = 0.25;
  r.volts_maximum = 4.75;
  r.track_difference = 0.0025;
  r.debounce_ticks = 0.050 / o.tick_s;
  r.rearm_plausible_ticks = 0.3 / o.tick_s;
  r.rearm_released_ticks = 0.2 / o.tick_s;
  r.released_below = 0.001;
  r.limited_share = 0.85;
  r.hand_play = 0.0002;
  r.hand_dead_band = 0.0015;
  r.hand_smoothing = 1 - std::exp(-2 * 3.14159265358979 * 25 * o.tick_s);
  r.hand_feel = curve(
      {{0, 0}, {.004, 7 * kBar}, {.010, 18 * kBar}, {.018, 36 * kBar}, {.028, 62 * kBar}, {.038, 90 * kBar}},
      &st.hand_segments);
  r.pedal_zero = 0.5;
  r.pedal_scale = 250;
  r.pedal_dead_band = 15;
  r.pedal_smoothing = 1 - std::exp(-2 * 3.14159265358979 * 35 * o.tick_s);
  r.pedal_feel = curve({{0, 0}, {60, 7 * kBar}, {200, 30 * kBar}, {350, 56 * kBar}, {600, 100 * kBar}},
                       &st.pedal_segments);
  c.balance.front_share = kFrontShare;
  c.balance.speed_trim = curve({{16, 0}, {45, -0.005}}, &st.speed_trim_segments);
  c.balance.demand_trim = curve({{30 * kBar, 0}, {70 * kBar, 0.01}}, &st.demand_trim_segments);
  c.pressure = {
      450 * kBar * o.tick_s, 700 * kBar * o.tick_s, 95 * kBar, 0.3, 3 * o.tick_s, 8 * kBar, 6 * kBar,
      0.040 / o.tick_s};
  for (int a = 0; a < signal::kAxles; ++a) {
    c.slip.release_slip[a] = o.limit_slip ? 0.13 : 2;
    c.slip.reapply_slip[a] = 0.08;
    c.slip.release_per_tick[a] = 8 * o.tick_s;
    c.slip.reapply_per_tick[a] = 2 * o.tick_s;
    c.slip.least_factor[a] = 0.1;
    c.slip.radius[a] = 0.32;
  }
  c.slip.off_below = 2;
  c.slip.reference_change_per_tick = 12 * o.tick_s;
  return c;
}

// 0 before the onset, rising within rise_s, 1 until the release.
double level_at(const SampleOptions& o, double t) {
  if (t < o.onset_s || t >= o.release_s) return 0;
  return o.rise_s > 0 ? std::min(1.0, (t - o.onset_s) / o.rise_s) : 1;
}

replay::ReplayPlan bare_plan(const SampleOptions& o) {
  replay::ReplayPlan plan{};
  plan.name = "sample";
  plan.structure.plant.tick_s = o.tick_s;
  plan.structure.plant.substeps = o.substeps;
  plan.structure.plant.heat_ticks = std::max(1, static_cast<int>(std::floor(0.004 / o.tick_s)));
  plan.params.plant = car(o, plan.structure.plant);
  plan.params.control = controller(o, plan.structure.control);
  plan.params.driver = {15000, 6000};
  for (auto& f : plan.params.fault.hand) f = {kNeverTick, kNeverTick, 1, 0, 0, 1, 0};
  plan.params.last_tick = std::floor(o.length_s / o.tick_s + 0.5);
  plan.params.ends_standing = o.ends_standing ? 1 : 0;
  measure::FoldParams<double>& fold = plan.params.fold;
  fold.onset_tick = std::floor(o.onset_s / o.tick_s + 0.5);
  fold.rolling_radius[0] = fold.rolling_radius[1] = 0.32;
  std::fill_n(fold.pressure_level, 4, 1e12);
  fold.fault_start_tick = fold.fault_end_tick = kNeverTick;
  const auto samples = static_cast<size_t>(plan.params.last_tick) + 2;
  for (auto& channel : plan.input) channel.assign(samples, 0);
  auto& target = plan.input[replay::kTargetSpeed];
  std::fill(target.begin(), target.end(), -1.0);
  std::fill_n(target.begin(), std::min(samples, static_cast<size_t>(fold.onset_tick)), o.start_speed);
  for (auto c : {replay::kRecordedDeceleration, replay::kRecordedPressure})
    plan.input[c].assign(samples, measure::kNotRecorded);
  return plan;
}

}  // namespace

plant::BrakeHeat sample_heat(double disc_mass) {
  plant::BrakeHeat b{};
  b.disc_mass = disc_mass;
  b.disc_specific_heat = 465;
  b.disc_density = 7200;
  b.disc_conductivity = 52;
  b.half_thickness = 0.012;
  b.emissivity = 0.55;
  b.cooling_area = 0.13;
  b.disc_share = 0.97;
  b.hub_conductance = 2;
  b.hub_capacity = 3000;
  b.hub_area = 0.06;
  b.pad_area = 0.011;
  b.pad_thickness = 0.010;
  b.pad_density = 2500;
  b.pad_specific_heat = 900;
  b.pad_conductivity = 1.2;
  b.pad_to_disc = 1.5;
  b.pad_to_fluid = 0.8;
  b.fluid_to_caliper = 10;
  b.fluid_capacity = 100;
  b.caliper_capacity = 3000;
  b.caliper_area = 0.06;
  b.convection_at_rest = 25;
  b.convection_per_mps = 2;
  return b;
}

math::Curve<double> curve(std::initializer_list<CurvePoint> points, int* segments) {
  std::vector<double> x, y;
  for (const CurvePoint& p : points) {
    x.push_back(p.x);
    y.push_back(p.y);
  }
  int used = 0;
  const auto made = math::make_curve(x, y, &used);
  math::check(made.ok(), "a test's curve was refused");
  *segments = std::max(*segments, used);
  return *made;
}

replay::ReplayPlan sample_plan(const SampleOptions& o) {
  replay::ReplayPlan plan = bare_plan(o);
  auto& travel = plan.input[replay::kHandTravel];
  auto& front = plan.input[replay::kReferenceFront];
  const control::RequestParams<double>& r = plan.params.control.request;
  for (size_t i = 0; i < travel.size(); ++i) {
    travel[i] = o.travel * level_at(o, static_cast<double>(i) * o.tick_s);
    const double stroke = std::max(0.0, travel[i] - r.hand_dead_band);
    front[i] = 2 * kFrontShare * math::value(r.hand_feel, plan.structure.control.hand_segments, stroke);
  }
  const double peak = *std::max_element(front.begin(), front.end());
  double* level = plan.params.fold.pressure_level;
  level[0] = measure::kFirstPressure;
  for (int i = 0; i < 3; ++i) level[i + 1] = measure::kDelayShare[i] * peak;
  return plan;
}

void supervise(double tick_s, replay::ReplayPlan& plan) {
  plan.structure.fault.sensors = plan.structure.plant.request_bus = plan.structure.control.supervised = true;
  plan.params.plant.sensor.bus_period_ticks = 0.010 / tick_s;
  plan.params.plant.sensor.bus_delay_ticks = std::ceil(0.002 / tick_s);
  plan.params.fault.pedal = plan.params.fault.hand[0];
  plan.params.fault.supply_volts = 12;
  const control::RequestParams<double>& r = plan.params.control.request;
  control::SupervisionParams<double>& s = plan.params.control.supervision;
  s.request_timeout_ticks = 0.035 / tick_s;
  s.pedal_minimum = r.volts_minimum;
  s.pedal_maximum = r.volts_maximum;
  s.pedal_released_below = 20;
  s.wheel_drop_per_tick = 2000 * tick_s;
  s.wheel_share = 0.5;
  s.pressure_error = 15 * kBar;
  s.pressure_error_ticks = 0.2 / tick_s;
  s.feedback_per_tick = 1 / s.pressure_error_ticks;
  s.supply_minimum = 9;
  s.debounce_ticks = r.debounce_ticks;
  s.plausible_ticks = r.rearm_plausible_ticks;
  s.released_ticks = r.rearm_released_ticks;
  s.rearm_rise_per_tick = 150 * kBar * tick_s;
}

void equip(double tick_s, replay::ReplayPlan& plan) {
  control::ControlStructure& st = plan.structure.control;
  st.holds = st.overlaps = st.powers_up = plan.structure.fault.accelerator = true;
  control::ControlParams<double>& c = plan.params.control;
  c.hold = {0.15, 0.1 / tick_s, 1, 40 * kBar, 0.1 / tick_s, 0.5, 0.05, 300 * kBar * tick_s};
  c.overlap = {0.1, 5 * kBar, 0.2 / tick_s, 0.2, 5 * tick_s, 0.05};
  c.power = {6.5, 0.4 / tick_s, 0.05 / tick_s, 1, 1};
}

measure::MeasureContext sample_context(const SampleOptions& o, const replay::ReplayPlan& plan) {
  measure::MeasureContext c;
  c.tick_s = o.tick_s;
  c.ends_standing = o.ends_standing;
  c.pressure_entry = plan.structure.plant.pressure_entry;
  c.onset_s = plan.params.fold.onset_tick * o.tick_s;
  const auto& y = plan.input[replay::kReferenceFront];
  const auto crossing = [&](size_t i, double level) {
    return (static_cast<double>(i - 1) + (level - y[i - 1]) / (y[i] - y[i - 1])) * o.tick_s;
  };
  for (int k = 0; k < 4; ++k) {
    c.level_pa[k] = plan.params.fold.pressure_level[k];
    for (size_t i = y.size() - 1; i > 0; --i)
      if (y[i] >= c.level_pa[k] && y[i - 1] < c.level_pa[k]) c.rise_s[k] = crossing(i, c.level_pa[k]);
  }
  for (size_t i = 1; i < y.size(); ++i)
    if (y[i] <= c.level_pa[1] && y[i - 1] > c.level_pa[1]) c.fall_s = crossing(i, c.level_pa[1]);
  return c;
}

replay::ReplayPlan sample_pressure_plan(const SampleOptions& o, double front, double rear) {
  replay::ReplayPlan plan = bare_plan(o);
  plan.structure.plant.pressure_entry = true;
  for (size_t i = 0; i < plan.input[0].size(); ++i) {
    const double level = level_at(o, static_cast<double>(i) * o.tick_s);
    plan.input[replay::kFrontLinePressure][i] = front * level;
    plan.input[replay::kRearLinePressure][i] = rear * level;
  }
  return plan;
}

void set_friction(double left, double right, replay::ReplayPlan& plan) {
  plan.params.plant.road.friction[0] = curve({{0, left}}, &plan.structure.plant.friction_segments);
  plan.params.plant.road.friction[1] = curve({{0, right}}, &plan.structure.plant.friction_segments);
}

}  // namespace brakeward::reference
