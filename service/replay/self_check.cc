#include "replay/self_check.h"

#include <algorithm>
#include <bit>
#include <cstddef>

#include "math/check.h"
#include "math/curve.h"
#include "model/plant/heat_mesh.h"
#include "replay/engine.h"
#include "replay/machine.h"

namespace brakeward::replay {
namespace {

constexpr int kTicks = 6000;
constexpr double kNever = 1e15;

math::Curve<double> curve(std::initializer_list<double> x, std::initializer_list<double> y, int* segments) {
  int used = 0;
  const auto made = math::make_curve({x.begin(), x.size()}, {y.begin(), y.size()}, &used);
  math::check(made.ok(), "a built-in curve was refused");
  *segments = std::max(*segments, used);
  return *made;
}

plant::HeatParams<double> heat() {
  plant::BrakeHeat b{};
  b.disc_mass = 9;
  b.disc_specific_heat = 460;
  b.disc_density = 7200;
  b.disc_conductivity = 52;
  b.half_thickness = 0.012;
  b.emissivity = 0.55;
  b.cooling_area = 0.14;
  b.hub_conductance = 2;
  b.hub_capacity = 3000;
  b.hub_area = 0.06;
  b.pad_area = 0.01;
  b.pad_thickness = 0.01;
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
  return plant::heat_params(b);
}

// A mid-size car with round, invented numbers.
void fill_plant(int k, ReplayPlan& plan) {
  plant::PlantStructure& st = plan.structure.plant;
  st = {};
  st.tick_s = 0.001;
  st.substeps = 2;
  st.heat_ticks = 4;
  plant::PlantParams<double>& p = plan.params.plant;
  p.mass = 1500 + 40 * k;
  p.wheelbase = 2.7;
  p.static_front = 0.55;
  p.cog_height = 0.54;
  p.pitch_rate = 12;
  p.pitch_damping = 0.5;
  p.drag = 0.42;
  p.drag_height = 0.6;
  p.downforce[0] = p.downforce[1] = 0.1;
  for (int a = 0; a < signal::kAxles; ++a) {
    p.tyre[a] = {4000,   1.685, 1.21,  -0.037, 0.344, 0.095, -0.02, 21.51,
                 -0.163, 0.245, 0.313, 1.2,    0.2,   0.012, 2000,  1};
    plant::BrakeParams<double>& b = p.brake[a];
    b.torque_per_pascal = a == 0 ? 7.8e-4 : 3.9e-4;
    b.opening_pressure = 0.5e5;
    b.pad = curve({0, 200, 600}, {0.38, 0.44, 0.40}, &st.pad_segments);
    b.pad_per_pressure.y0 = b.pad_per_speed.y0 = 1;
    b.heat = heat();
    b.clearance = 0.2e-6;
    b.knee = 0.1e-6;
    b.stiffness = 1.5e13;
    b.flow_gain = 2.1e-8;
    b.laminar_pressure = 0.5e5;
    plant::ActuatorParams<double>& act = p.actuator[a];
    act.dead_ticks = 15.25 + k;
    act.lag = 0.015;
    act.stall_pressure = 160e5;
    act.flow_limit = 30e-6;
    act.volume_limit = 6e-6;
    act.derated = 1;
    act.start_winding = p.start_fluid[a] = 20;
    p.driven_share[a] = a == 0 ? 0 : 0.5;
    p.start_disc[a] = 80;
  }
  p.sensor = {{0.5, 4.5}, {100, -100}, 0.04, 0.5, 0.004, 0.001, 0.1e5, 0.02, 0, 0, 0.1, 0.05};
  p.road.friction[0] = curve({0, 40, 60}, {1.0, 1.0 - 0.1 * k, 0.9}, &st.friction_segments);
  p.road.friction[1] = curve({0}, {1.0 - 0.08 * k}, &st.friction_segments);
  p.road.grade = curve({0, 50}, {0, -0.02 * k}, &st.grade_segments);
  p.engine_braking = 200;
  p.engine_braking_fade = 5;
  p.traction_limit = 6000;
  p.ambient = 20;
  p.start_speed = 20 + k;
}

// Everything a car and a road may have besides: a bend, bumps, limited slip, motors.
void fill_rest(int k, ReplayPlan& plan) {
  plant::PlantStructure& st = plan.structure.plant;
  plant::PlantParams<double>& p = plan.params.plant;
  st.lateral = st.bumps = st.front_locks = st.rear_locks = st.motors = true;
  for (int a = 0; a < signal::kAxles; ++a) {
    p.track[a] = 1.5;
    p.roll_share[a] = 0.5;
    p.suspension[a] = {45, 28e3, 2500, 220e3};
    p.differential[a] = {20.0 * k, 0.05 * k};
    p.motor[a] = {1500, 40e3, 0.03, 200.0 * a, 3};
  }
  p.battery = {1e6, 0.9, curve({0.5, 1}, {60e3, 0}, &st.regeneration_segments), 0.4 + 0.05 * k};
  p.road.path_curvature = curve({0, 30, 60}, {0, 0, 0.002 * k}, &st.path_segments);
  p.road.banking = curve({0, 80}, {0, 0.01 * k}, &st.banking_segments);
  p.road.bump[0] = curve({20, 20.2, 20.4, 20.6}, {0, 0.01 * k, 0, 0}, &st.bump_segments);
  p.road.bump[1] = curve({40, 40.1}, {0, -0.005 * k}, &st.bump_segments);
}

// And its brakes: air, boiling fluid, pads knocked back, a leak, weak and dead actuators, the pedal's way.
void fill_disturbances(int k, ReplayPlan& plan) {
  plant::PlantStructure& st = plan.structure.plant;
  st.wheels_apart = st.gas = st.disturbed = st.leaks = st.actuator_varies = st.pedal_path = st.pads_lack =
      st.seals = true;
  plant::PlantParams<double>& p = plan.params.plant;
  fault::FaultParams<double>& f = plan.params.fault;
  for (int a = 0; a < signal::kAxles; ++a) {
    plant::BrakeParams<double>& b = p.brake[a];
    b.pad_per_pressure = curve({0, 80e5}, {1, 0.95}, &st.pad_pressure_segments);
    b.pad_per_speed = curve({2, 20}, {1, 0.9}, &st.pad_speed_segments);
    b.wear = curve({100, 500}, {4e-15, 2e-14}, &st.wear_segments);
    b.effective_radius = 0.14;
    b.pad_lack = 0.05 * k;
    b.per_recovery_work = 1e-5;
    b.drag = 2;
    b.seal_friction = 0.3e5;
    b.boiling = 150 + 10 * k;
    b.vapour_growth = 2e-8;
    b.vapour_limit = 4e-5;
    p.start_fluid[a] = 180;
    plant::ActuatorParams<double>& act = p.actuator[a];
    act.per_nominal_supply = 1 / 12.0;
    act.heat_at_stall = 4000;
    act.per_heat_capacity = 1 / 100.0;
    act.cooling = 2;
    act.derating_from = 22;
    act.derating_per_kelvin = 0.02;
    act.derated = 0.4;
    p.pedal_path.pressure_per_force[a] = 8e3;
    p.pedal_path.volume_limit[a] = 8e-6;
    f.leak[a] = {900.0 + 100 * k, kNever, a == 0 ? 1e-10 * k : 0};
    f.dead[a] = {k % 2 == 1 ? 1500 : kNever, 2200, 1};
  }
  p.pedal_path.valve_ticks = 15;
  p.pedal_path.drop_out = 7;
  f.supply = {1000.0 + 50 * k, 1400, 5.0 + k};
  f.supply_volts = 12.5;
  for (int w = 0; w < signal::kWheels; ++w) {
    p.caliper_air[w] = (k + w) % 3 == 0 ? 5e-7 : 0;
    f.knock_back_tick[w] = 300 + 20 * w;
    p.knock_back[w] = 1e-7 * k;
  }
}

// And sensors that fail, a request bus, a controller that checks them all.
void fill_sensor_faults(int k, ReplayPlan& plan) {
  plan.structure.fault.sensors = plan.structure.plant.request_bus = plan.structure.control.supervised = true;
  plan.params.plant.sensor.bus_period_ticks = 5 + 1.5 * k;
  plan.params.plant.sensor.bus_delay_ticks = k;
  fault::FaultParams<double>& f = plan.params.fault;
  f.hand[1] = {800, 1100, 1, 0, 0.02 * k, 1000.0 + k, k == 4 ? 1.0 : 0.0};
  f.pedal = {900, 1300, k == 3 ? 0.0 : 1.0, 0, 0.05, 2000.0 + k, k == 5 ? 1.0 : 0.0};
  for (int a = 0; a < signal::kAxles; ++a) {
    f.pressure[a] = {1200, 2000, 5e5 * (k - 4), 200.0 * k, k == 6 ? 1.0 : 0.0};
    f.response[a] = {1600, 2400, 0.1 * (k + 1)};
    f.flow[a] = {2000, 2600, 0.1 * (k + 1)};
  }
  f.speed_lost[k % signal::kWheels] = {1000, 1500, 1};
  f.bus_silent = {1700.0, 1700.0 + 20 * k, 1};
  f.bus_delay = {2000, 2200, 5.0 * k};
  f.pedal_selected = k % 2;
  f.selector = {2500, 3000, 1.0 - k % 2};
  plan.structure.control.selects = plan.structure.control.blends = true;
  plan.params.control.blend = {{300.0 * k, 800}, {1.2e-3, 0.6e-3}, 2, 0.4, 6};
  plan.params.control.arbitration = {0.004, 1.0 * (k % 2)};
  plan.params.control.supervision = {40, 0.25, 4.75, 20, 2, 0.5, 15e5, 200, 1 / 200.0, 9, 60, 300, 200, 2e4};
}

// One actuator for two diagonal circuits, valves per wheel.
void fill_layout(int k, ReplayPlan& plan) {
  plant::PlantStructure& st = plan.structure.plant;
  static_cast<signal::HydraulicLayout&>(st) = {true, true, true};
  plant::PlantParams<double>& p = plan.params.plant;
  for (auto& act : p.actuator) act.volume_limit = 1.1e-5;
  p.wheel_valve = {0.004 + 0.001 * k, 1.2e-8, 1e-6, 2e-6};
  for (double& travel : p.pedal_path.travel_per_volume) travel = 6e3;
  p.pedal_path.simulator = curve({0, 500}, {0, 0.06}, &st.simulator_segments);
  static_cast<signal::HydraulicLayout&>(plan.structure.control) = st;
  plan.structure.control.feels_deceleration = plan.structure.control.holds_slipping = true;
}

void fill_control(ReplayPlan& plan) {
  control::ControlStructure& st = plan.structure.control;
  st = {};
  control::ControlParams<double>& c = plan.params.control;
  c.request = {};
  control::RequestParams<double>& r = c.request;
  r.hand_zero[0] = 0.5;
  r.hand_zero[1] = 4.5;
  r.hand_scale[0] = 0.01;
  r.hand_scale[1] = -0.01;
  r.volts_minimum = 0.25;
  r.volts_maximum = 4.75;
  r.track_difference = 0.0025;
  r.debounce_ticks = 60;
  r.rearm_plausible_ticks = 300;
  r.rearm_released_ticks = 200;
  r.released_below = 0.001;
  r.limited_share = 0.8;
  r.hand_play = 0.0002;
  r.hand_dead_band = 0.0015;
  r.hand_smoothing = 0.17;
  r.hand_feel = curve({0, 0.01, 0.03}, {0, 15e5, 60e5}, &st.hand_segments);
  r.pedal_zero = 0.5;
  r.pedal_scale = 250;
  r.pedal_dead_band = 15;
  r.pedal_smoothing = 0.2;
  r.pedal_feel = curve({0, 300, 1000}, {0, 30e5, 90e5}, &st.pedal_segments);
  c.balance.front_share = 0.55;
  c.balance.speed_trim = curve({0, 40}, {0, 0.02}, &st.speed_trim_segments);
  c.balance.demand_trim = curve({0, 60e5}, {0, 0.03}, &st.demand_trim_segments);
  c.pressure = {6e4, 9e4, 100e5, 0.3, 0.002, 10e5, 8e5, 60};
  c.slip = {{0.14, 0.14}, {0.08, 0.08}, {0.008, 0.008}, {0.002, 0.002}, {0.1, 0.1}, {1, 0},
            2.2,          0.012,        {0.313, 0.313}, 0.001,          0.004,      0.001};
}

void fill_input(int k, ReplayPlan& plan) {
  for (auto& channel : plan.input) channel.assign(kTicks + 1, 0);
  for (int i = 0; i <= kTicks; ++i) {
    const auto at = static_cast<size_t>(i);
    const bool pressed = i >= 500 && i < 4500;
    const double ramp = std::min(1.0, (i - 500) / 150.0);
    plan.input[kHandTravel][at] = pressed && k % 2 == 0 ? 0.03 * ramp : 0;
    plan.input[kPedalForce][at] = pressed && k % 2 == 1 ? 700 * ramp : 0;
    plan.input[kTargetSpeed][at] = i < 500 ? plan.params.plant.start_speed : -1;
    plan.input[kReferenceFront][at] = pressed ? 60e5 * ramp : 0;
    plan.input[kRecordedDeceleration][at] = pressed ? 7 : measure::kNotRecorded;
    plan.input[kRecordedPressure][at] = measure::kNotRecorded;
  }
}

// The folds of driver and feel count where the plan makes them.
std::uint64_t digest(const std::vector<ReplayPlan>& plans, const std::vector<measure::Folds<double>>& folds) {
  std::uint64_t hash = 0xcbf29ce484222325u;
  for (size_t n = 0; n < folds.size(); ++n) {
    const double* field = reinterpret_cast<const double*>(&folds[n]);
    const bool all = plans[n].structure.driver.follows || plans[n].structure.feel;
    const size_t size = all ? sizeof folds[n] : offsetof(measure::Folds<double>, driver);
    for (size_t i = 0; i < size / sizeof(double); ++i) {
      auto bits = std::bit_cast<std::uint64_t>(field[i]);
      for (int byte = 0; byte < 8; ++byte, bits >>= 8) hash = (hash ^ (bits & 0xff)) * 0x100000001b3u;
    }
  }
  return hash;
}

EngineDigest run_engine(const char* name, bool possible, void (*engine)(const BatchJob&),
                        const std::vector<ReplayPlan>& plans) {
  if (!possible) return {name, false, 0};
  std::vector<measure::Folds<double>> folds(plans.size());
  for (size_t first = 0; first < plans.size(); first += kLanes) {
    BatchJob job{};
    job.structure = plans[first].structure;
    job.lanes = kLanes;
    for (size_t k = 0; k < kLanes; ++k) job.lane[k] = lane_of(plans[first + k], &folds[first + k], nullptr);
    engine(job);
  }
  return {name, true, digest(plans, folds)};
}

}  // namespace

std::vector<ReplayPlan> fixed_plans() {
  constexpr int kBatches = 3;
  std::vector<ReplayPlan> plans(size_t{kBatches} * kLanes);
  for (int i = 0; i < kBatches * kLanes; ++i) {
    ReplayPlan& plan = plans[static_cast<size_t>(i)];
    const int k = i % kLanes;
    plan.name = "fixed " + std::to_string(i);
    fill_plant(k, plan);
    if (i >= kLanes) fill_rest(k, plan);
    if (i >= kLanes) fill_disturbances(k, plan);
    fill_control(plan);
    if (i >= 2 * kLanes) fill_layout(k, plan);
    plan.params.driver = {15000, 6000};
    for (auto& f : plan.params.fault.hand) f = {kNever, kNever, 1, 0, 0, 1, 0};
    if (k % 4 == 2) plan.params.fault.hand[0] = {700, 3000, 0, 0, 0, 1, 0};
    if (i >= kLanes) fill_sensor_faults(k, plan);
    plan.params.fold = {500,
                        {0.313, 0.313},
                        {1e5, 6e5, 38e5, 54e5},
                        k % 4 == 2 ? 700.0 : kNever,
                        k % 4 == 2 ? 3000.0 : kNever,
                        20.0 + k,
                        0.06,
                        {7e2, 5e2}};
    plan.params.last_tick = kTicks;
    plan.params.ends_standing = k % 3 == 0 ? 1 : 0;
    fill_input(k, plan);
  }
  // Every plan of a batch has the same curves' lengths, so that any of them stands for it.
  return plans;
}

SelfCheck self_check() {
  const std::vector<ReplayPlan> plans = fixed_plans();
  SelfCheck out;
  out.engines = {run_engine("scalar", true, run_double, plans), run_engine("x86-64-v3", true, run_v3, plans),
                 run_engine("x86-64-v4", has_v4(), run_v4, plans)};
  out.agree = std::all_of(out.engines.begin(), out.engines.end(), [&](const EngineDigest& e) {
    return !e.ran || e.digest == out.engines.front().digest;
  });
  return out;
}

}  // namespace brakeward::replay
