#include "unit/replay/random_plans.h"

#include <cmath>
#include <cstring>
#include <random>

#include "reference/sample_plan.h"

namespace brakeward::replay {
namespace {

using Series = std::vector<double>;

class Dice {
 public:
  explicit Dice(unsigned seed) : engine_(seed) {}
  double between(double low, double high) {
    return low + (high - low) * (static_cast<double>(engine_()) * 0x1p-32);
  }
  bool one_in(int n) { return engine_() % static_cast<unsigned>(n) == 0; }

 private:
  std::mt19937 engine_;
};

// Diagonal circuits, a shared actuator, valves per wheel.
void add_layout(Dice& dice, ReplayPlan& plan) {
  plant::PlantStructure& st = plan.structure.plant;
  st.wheels_apart = true;
  st.diagonal = dice.one_in(2);
  st.shared_actuator = dice.one_in(2);
  st.wheel_valves = dice.one_in(2);
  static_cast<signal::HydraulicLayout&>(plan.structure.control) = st;
  plan.params.plant.wheel_valve = {dice.between(0.001, 0.02), dice.between(5e-9, 3e-8),
                                   dice.between(2e-7, 3e-6), dice.between(1e-6, 8e-6)};
  for (double& each : plan.params.control.slip.each_wheel) each = dice.one_in(2) ? 1 : 0;
}

// Air, boiling fluid, knock-back, leaks, weak or dead actuators, the pedal's way, wet pads, seals.
void add_hydraulics(Dice& dice, ReplayPlan& plan) {
  plant::PlantStructure& st = plan.structure.plant;
  plant::PlantParams<double>& p = plan.params.plant;
  fault::FaultParams<double>& f = plan.params.fault;
  st.gas = dice.one_in(2);
  st.wheels_apart = st.gas || dice.one_in(2);
  st.disturbed = st.leaks = st.actuator_varies = dice.one_in(2);
  st.pedal_path = st.disturbed && dice.one_in(2);
  st.pads_lack = dice.one_in(2);
  st.seals = dice.one_in(2);
  for (int a = 0; a < signal::kAxles; ++a) {
    p.start_fluid[a] = dice.between(20, 200);
    p.brake[a].boiling = dice.between(120, 230);
    p.brake[a].vapour_growth = 2e-8;
    p.brake[a].vapour_limit = 4e-5;
    p.brake[a].pad_lack = dice.between(0, 0.5);
    p.brake[a].per_recovery_work = 1e-5;
    p.brake[a].seal_friction = dice.between(0, 1e5);
    p.brake[a].wear = reference::curve({{100, 0.4e-14}, {400, 2e-14}}, &st.wear_segments);
    p.brake[a].pad_per_speed = reference::curve({{5, 1}, {40, 0.9}}, &st.pad_speed_segments);
    p.brake[a].pad_per_pressure = reference::curve({{1e6, 1}, {8e6, 0.95}}, &st.pad_pressure_segments);
    p.actuator[a].heat_at_stall = dice.between(0, 5000);
    p.actuator[a].derating_from = 25;
    p.actuator[a].derating_per_kelvin = 0.05;
    p.actuator[a].derated = 0.3;
    p.actuator[a].per_nominal_supply = 1 / 12.0;
    p.pedal_path.pressure_per_force[a] = 1e4;
    p.pedal_path.volume_limit[a] = 1e-5;
    f.leak[a] = {dice.between(0, 1500), 1e15, dice.between(0, 2e-9)};
    f.response[a] = {dice.between(0, 3000), dice.between(0, 5000), dice.between(0.1, 1)};
    f.flow[a] = {dice.between(0, 3000), dice.between(0, 5000), dice.between(0.1, 1)};
    f.dead[a] = {dice.between(500, 4000), dice.between(2000, 6000), 1};
  }
  if (dice.one_in(2)) add_layout(dice, plan);
  p.pedal_path.valve_ticks = dice.between(0, 30);
  p.pedal_path.drop_out = 7;
  f.supply = {dice.between(500, 2000), dice.between(1000, 4000), dice.between(4, 12)};
  f.supply_volts = 12;
  for (int w = 0; w < signal::kWheels; ++w) {
    if (st.gas) p.caliper_air[w] = dice.between(0, 1e-6);
    f.knock_back_tick[w] = dice.between(0, 3000);
    if (st.wheels_apart) p.knock_back[w] = dice.between(0, 1e-6);
  }
}

// A bus, tracks that stick and rustle, sensors and messages lost, and a controller that looks out for them.
void add_sensor_faults(Dice& dice, ReplayPlan& plan) {
  constexpr double kTick_s = 0.001;
  const bool bus = dice.one_in(2), supervised = dice.one_in(2);
  reference::supervise(kTick_s, plan);
  plan.structure.plant.request_bus = bus;
  plan.structure.control.supervised = supervised;
  plan.params.plant.sensor.bus_period_ticks = dice.between(1, 20);
  plan.params.plant.sensor.bus_delay_ticks = std::floor(dice.between(0, 20));
  const auto start = [&] { return dice.between(200, 2000); };
  const auto track = [&](double noise, double stuck) {
    return fault::TrackFault<double>{start(), dice.between(800, 3000),          1,    0,
                                     noise,   std::floor(dice.between(1, 2e9)), stuck};
  };
  fault::FaultParams<double>& f = plan.params.fault;
  f.hand[1] = track(dice.between(0, 0.3), 0);
  f.pedal = track(0, 1);
  f.pressure[0] = {start(), 3000, dice.between(-30e5, 30e5), dice.between(-1e4, 1e4), 0};
  f.pressure[1] = {start(), 3000, 0, 0, 1};
  f.speed_lost[dice.one_in(2) ? 1 : 2] = {start(), 2500, 1};
  plan.structure.control.selects = dice.one_in(2);
  plan.params.control.arbitration = {dice.between(0.001, 1), dice.one_in(2) ? 1.0 : 0.0};
  plan.structure.control.blends = dice.one_in(3);  // asked of motors that are not there: friction does it all
  plan.params.control.blend = {{dice.between(0, 2000), 800}, {1e-3, 5e-4}, 2, 0.3, 5};
  f.pedal_selected = plan.params.control.arbitration.start_pedal_share;
  f.selector = {start(), dice.between(500, 2500), 1 - f.pedal_selected};
  plan.structure.control.feels_deceleration = dice.one_in(2);
  plan.structure.control.holds_slipping = dice.one_in(2);
  plan.params.control.slip.reference_margin_per_tick = dice.between(0.0003, 0.003);
  plan.params.control.slip.hold_above_per_tick = dice.between(0.001, 0.01);
  plan.params.control.slip.tick = kTick_s;
  plan.params.plant.sensor.acceleration_step = 0.05;
  plan.params.plant.sensor.acceleration_offset = dice.between(-0.3, 0.3);
  f.acceleration_offset = {start(), dice.between(500, 2500), dice.between(-4, 4)};
  f.bus_silent = {start(), dice.between(500, 2500), 1};
  f.bus_delay = {start(), dice.between(500, 2500), std::floor(dice.between(0, 100))};
}

// A car held at standstill, an accelerator pressed beside the brake, a controller that restarts.
void add_standstill(Dice& dice, ReplayPlan& plan) {
  constexpr double kTick_s = 0.001;
  reference::equip(kTick_s, plan);
  plan.params.fault.supply_volts = 12;
  control::ControlStructure& st = plan.structure.control;
  st.holds = dice.one_in(2);
  st.overlaps = dice.one_in(2);
  st.powers_up = dice.one_in(2);
  plan.params.control.hold.longest_ticks = dice.between(0, 2000);
  plan.params.control.overlap.kept_share = dice.between(0, 1);
  plan.params.control.power.running_above = dice.between(4, 11);
  plan.params.fault.accelerator = {dice.between(0, 3000), dice.between(500, 6000), dice.between(0, 1)};
  plan.structure.fault.accelerator = dice.one_in(2);
}

// A driver who follows a speed, steers, and of whom feel is read.
void add_driver(Dice& dice, ReplayPlan& plan) {
  driver::DriverStructure& st = plan.structure.driver;
  st.follows = dice.one_in(2);
  const bool pedal = dice.one_in(2);
  plan.params.follow = {pedal ? 1.0 : 0.0, dice.between(0, pedal ? 60 : 0.004), dice.between(0, 400),
                        dice.between(0.005, 1), pedal ? 400 : 0.03};
  Series& speed = plan.input[kFollowedSpeed];
  for (size_t i = 0; i < speed.size(); ++i)
    speed[i] = plan.params.plant.start_speed - 0.004 * static_cast<double>(i);
  if (st.follows && pedal) {
    for (double& travel : plan.input[kHandTravel]) travel *= 10e3;
    std::swap(plan.input[kHandTravel], plan.input[kPedalForce]);
  }
  st.steers = dice.one_in(2);
  if (st.steers)
    plan.params.steering.angle =
        reference::curve({{5, 0}, {20, dice.between(-2, 2)}, {60, 0.1}}, &st.steering_segments);
  plan.params.plant.hand_shift = dice.between(-0.001, 0.001);
  plan.structure.control.compensates = dice.one_in(2);
  plan.params.control.request.steering_compensation = dice.between(-0.001, 0.001);
  plan.structure.feel = dice.one_in(2);
  plan.params.feel = {dice.between(1, 500), dice.between(0.1, 1), {1 / 500.0, 1 / 450.0}};
}

}  // namespace

ReplayPlan random_plan(unsigned seed) {
  Dice dice(seed);
  reference::SampleOptions o;
  o.start_speed = dice.between(8, 60);
  o.travel = dice.between(0.01, 0.038);
  o.onset_s = dice.between(0.05, 0.5);
  o.rise_s = dice.one_in(3) ? 0 : dice.between(0.05, 0.6);
  if (dice.one_in(3)) o.release_s = dice.between(1, 2);
  o.length_s = dice.between(1, 6);
  o.grade = dice.between(-0.1, 0.1);
  o.ends_standing = !dice.one_in(4);
  ReplayPlan plan = dice.one_in(5) ? reference::sample_pressure_plan(o, dice.between(10e5, 70e5), 20e5)
                                   : reference::sample_plan(o);
  reference::set_friction(dice.between(0.3, 1.1), dice.between(0.3, 1.1), plan);
  if (dice.one_in(2)) {  // a road with more segments than its neighbours in the batch
    plan.params.plant.road.friction[0] =
        reference::curve({{0, 1}, {20, 0.6}, {35, 0.9}, {60, 0.8}}, &plan.structure.plant.friction_segments);
  }
  plan.params.plant.mass = dice.between(1100, 2200);
  plan.params.plant.actuator[0].dead_ticks = dice.between(0, 60);
  plan.params.control.balance.front_share = dice.between(0.5, 0.7);
  if (dice.one_in(3)) {
    plan.params.fault.hand[0] = {
        dice.between(300, 900), dice.between(1000, 1800), dice.between(0, 1), 0.5, 0, 1, 0};
    plan.params.fold.fault_start_tick = plan.params.fault.hand[0].start_tick;
    plan.params.fold.fault_end_tick = plan.params.fault.hand[0].end_tick;
  }
  if (dice.one_in(2)) add_hydraulics(dice, plan);
  auto& actuator = plan.params.plant.actuator;
  if (plan.structure.plant.shared_actuator) actuator[1] = actuator[0];
  for (size_t i = 200; i < plan.input[0].size(); i += 2) {
    plan.input[kRecordedDeceleration][i] = 5;
    plan.input[kRecordedPressure][i] = 30e5;
  }
  if (dice.one_in(2)) add_sensor_faults(dice, plan);
  if (dice.one_in(2)) add_standstill(dice, plan);
  if (dice.one_in(2)) add_driver(dice, plan);
  return plan;
}

std::vector<ReplayPlan> random_plans(int count, unsigned seed) {
  std::vector<ReplayPlan> plans;
  for (int i = 0; i < count; ++i) plans.push_back(random_plan(seed + static_cast<unsigned>(i)));
  return plans;
}

std::vector<const ReplayPlan*> pointers_to(const std::vector<ReplayPlan>& plans) {
  std::vector<const ReplayPlan*> out;
  for (const ReplayPlan& p : plans) out.push_back(&p);
  return out;
}

bool same_bits(const measure::Folds<double>& a, const measure::Folds<double>& b) {
  // Bits are what is compared. NOLINTNEXTLINE(bugprone-suspicious-memory-comparison)
  return std::memcmp(&a, &b, sizeof(a)) == 0;
}

}  // namespace brakeward::replay
