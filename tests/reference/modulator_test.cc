// Diagonal circuits, a shared actuator, valves per wheel and the pedal's travel against closed forms.
#define BRAKEWARD_ISA isa_modulator_test
#include <cmath>

#include "gtest/gtest.h"
#include "reference/plant_run.h"
#include "replay/replay.h"
#include "signal/observables.h"

namespace brakeward::reference {
namespace {

constexpr double kBar = 1e5;

using Layout = signal::HydraulicLayout;

void lay_out(const Layout& l, plant::PlantStructure& st) {
  static_cast<Layout&>(st) = l;
  st.wheels_apart = true;
}

void lay_out(const Layout& l, replay::ReplayPlan& plan) {
  lay_out(l, plan.structure.plant);
  static_cast<Layout&>(plan.structure.control) = l;
}

// The sample car at rest. Its actuators have stroke for all wheels.
PlantRun laid_out(const Layout& l, double tick_s = 0.001) {
  SampleOptions o;
  o.start_speed = 0;
  o.tick_s = tick_s;
  PlantRun run(sample_plan(o));
  lay_out(l, run.structure);
  for (auto& act : run.car.actuator) act.volume_limit = 2e-5;
  run.car.wheel_valve = {0.004, 1.5e-8, 3e-6, 4e-6};
  return run;
}

void restart(PlantRun& run) {
  run.constants = plant::constants_of(run.car, run.structure);
  plant::start(run.car, run.constants, run.state);
}

double caliper(const PlantRun& run, int wheel) {
  return run.state.hydraulics.caliper[wheel].pressure;
}

TEST(Diagonal, ACircuitFeedsAWheelOfEachAxle) {
  PlantRun run = laid_out({.diagonal = true});
  restart(run);
  run.command[0] = 60 * kBar;
  run.command[1] = 20 * kBar;
  run.run_for(2);
  EXPECT_NEAR(caliper(run, signal::kFrontLeft), 60 * kBar, 10);
  EXPECT_NEAR(caliper(run, signal::kRearRight), 60 * kBar, 10);
  EXPECT_NEAR(caliper(run, signal::kFrontRight), 20 * kBar, 10);
  EXPECT_NEAR(caliper(run, signal::kRearLeft), 20 * kBar, 10);
}

// R13-H 5.2.2 asks for secondary braking when a circuit fails. Half of each axle is left: with both circuits
// at the same pressure, half of the brake force (derived).
TEST(Diagonal, HalfOfTheForceIsLeftWithoutACircuit) {
  double force[2];
  for (int without : {0, 1}) {
    SampleOptions o;
    o.start_speed = 25;
    o.limit_slip = false;
    PlantRun run(sample_plan(o));
    lay_out({.diagonal = true}, run.structure);
    restart(run);
    run.car.drag = 0;
    run.command[0] = 25 * kBar;
    run.command[1] = without == 1 ? 0 : 25 * kBar;
    run.run_for(1);
    force[without] = run.seen.brake_torque[0] + run.seen.brake_torque[1] + run.seen.brake_torque[2] +
                     run.seen.brake_torque[3];
  }
  EXPECT_NEAR(force[1] / force[0], 0.5, 0.004);  // the braked discs are a little hotter
}

// One stroke for four calipers: each ends where all of them together hold its volume.
TEST(SharedActuator, HasOneStrokeForBothCircuits) {
  for (bool diagonal : {false, true}) {
    PlantRun run = laid_out({.diagonal = diagonal, .shared_actuator = true});
    for (auto& act : run.car.actuator) act.volume_limit = 3e-6;
    restart(run);
    run.command[0] = run.command[1] = 140 * kBar;
    run.run_for(3);
    double held = 0;
    for (int w = 0; w < signal::kWheels; ++w) held += run.state.hydraulics.caliper[w].volume;
    EXPECT_NEAR(1e6 * held, 3, 1e-6);
    EXPECT_NEAR(run.seen.authority_margin, 0, 1e-6);
  }
}

// An empty car's calipers take volume without pressure at first: Q = Q_0 / 2 (1 + ...) is then bounded by the
// actuator alone, and filling takes V / Q. A shared actuator of the same flow takes the time of all four.
TEST(SharedActuator, HasOneFlowForBothCircuits) {
  double time[2];
  for (bool shared : {false, true}) {
    PlantRun run = laid_out({.shared_actuator = shared}, 0.0005);
    for (auto& act : run.car.actuator) {
      act.flow_limit = 2e-6;  // slow: lines and lag do not matter
      act.lag = 1e-3;
      act.stall_pressure = 1e9;
    }
    run.car.brake[1] = run.car.brake[0];
    restart(run);
    run.command[0] = run.command[1] = 60 * kBar;
    while (run.seen.pressure[0] < 50 * kBar && run.time < 10) run.step();
    EXPECT_NEAR(run.seen.pressure[0], run.seen.pressure[1], 1);
    EXPECT_EQ(run.seen.flow_saturated, 1);
    time[shared ? 1 : 0] = run.time;
  }
  EXPECT_NEAR(time[1] / time[0], 2, 0.01);
}

TEST(WheelValves, KeepEachWheelAtItsOwnPressure) {
  for (bool diagonal : {false, true})
    for (bool shared : {false, true}) {
      PlantRun run = laid_out({.diagonal = diagonal, .shared_actuator = shared, .wheel_valves = true});
      restart(run);
      const double wanted[] = {70 * kBar, 30 * kBar, 45 * kBar, 10 * kBar};
      for (int w = 0; w < signal::kWheels; ++w) run.wheel_command[w] = wanted[w];
      run.command[0] = run.command[1] = 75 * kBar;
      run.run_for(2);
      for (int w = 0; w < signal::kWheels; ++w) EXPECT_NEAR(caliper(run, w), wanted[w], 0.01 * kBar) << w;
      EXPECT_NEAR(run.state.hydraulics.returned[0], 0, 1e-9);
      // The wheel that is told less lets fluid out while its neighbour holds.
      run.wheel_command[0] = 20 * kBar;
      run.run_for(1);
      EXPECT_NEAR(caliper(run, 0), 20 * kBar, 0.01 * kBar);
      EXPECT_NEAR(caliper(run, 1), wanted[1], 0.01 * kBar);
      EXPECT_NEAR(caliper(run, 3), wanted[3], 0.01 * kBar);
    }
}

// A full outlet empties a caliper of stiffness K without a knee by dV/dt = -G sqrt(p), so sqrt(p) falls by
// K G / 2 a second (derived).
TEST(WheelValves, TheOutletEmptiesACaliperLikeAnOrifice) {
  PlantRun run = laid_out({.wheel_valves = true}, 5e-5);
  run.car.wheel_valve.lag = 1e-6;
  run.car.wheel_valve.return_volume = 1;
  for (auto& b : run.car.brake) b.laminar_pressure = 1, b.knee = 1e-9;
  restart(run);
  for (double& w : run.wheel_command) w = 100 * kBar;
  run.command[0] = run.command[1] = 100 * kBar;
  run.run_for(2);
  const double from = caliper(run, 0);
  run.wheel_command[0] = 0;
  double elapsed = 0;
  while (caliper(run, 0) > 49 * kBar) run.step(), elapsed += run.structure.tick_s;
  const double expected = std::sqrt(from) - 0.5 * run.car.brake[0].stiffness * 1.5e-8 * elapsed;
  EXPECT_NEAR(std::sqrt(caliper(run, 0)) / expected, 1, 0.005);
}

// When the return volume is full, the outlet passes what the pump takes away: V = V_full + Q_pump t.
TEST(WheelValves, AFullReturnVolumeLeavesThePumpsFlow) {
  PlantRun run = laid_out({.wheel_valves = true});
  run.car.wheel_valve.return_volume = 0.1e-6;
  run.car.wheel_valve.return_flow = 0.2e-6;
  restart(run);
  for (double& w : run.wheel_command) w = 100 * kBar;
  run.command[0] = run.command[1] = 100 * kBar;
  run.run_for(2);
  const double before = run.state.hydraulics.caliper[0].volume;
  run.wheel_command[0] = 0;
  run.run_for(0.5);
  EXPECT_NEAR(1e6 * (before - run.state.hydraulics.caliper[0].volume), 0.1 + 0.2 * 0.5, 0.002);
  EXPECT_NEAR(1e6 * run.state.hydraulics.returned[0], 0.1, 1e-9);
}

// Fluid let out is missing from the stroke until it is pumped back, and nowhere else: what the actuator has
// given is what is in the calipers and what was let out.
TEST(WheelValves, LoseNoFluid) {
  PlantRun run = laid_out({.diagonal = true, .shared_actuator = true, .wheel_valves = true});
  run.car.actuator[0].volume_limit = run.car.actuator[1].volume_limit = 3.2e-6;
  run.car.wheel_valve.return_flow = 1e-12;
  restart(run);
  for (double& w : run.wheel_command) w = 90 * kBar;
  run.command[0] = run.command[1] = 140 * kBar;
  run.run_for(1);
  for (int i = 0; i < 2000; ++i) {
    run.wheel_command[i % 4] = i % 3 == 0 ? 10 * kBar : 90 * kBar;
    run.step();
    const auto& h = run.state.hydraulics;
    double given = h.returned[0] + h.returned[1];
    for (const auto& c : h.caliper) given += c.volume;
    ASSERT_LE(1e6 * given, 3.2 + 1e-9) << i;
  }
}

// Without power the inlets are open and the outlets shut: the foot reaches every wheel.
TEST(WheelValves, LetTheFootThroughWithoutPower) {
  PlantRun run = laid_out({.diagonal = true, .shared_actuator = true, .wheel_valves = true});
  run.structure.pedal_path = run.structure.actuator_varies = run.structure.disturbed = true;
  for (int c = 0; c < signal::kAxles; ++c) {
    run.car.pedal_path.pressure_per_force[c] = 1e4;
    run.car.pedal_path.volume_limit[c] = 1e-5;
    run.car.pedal_path.travel_per_volume[c] = 5e3;
  }
  run.car.pedal_path.valve_ticks = 15;
  restart(run);
  run.driver.pedal_force = 400;
  run.fault.dead[0] = 1;
  run.run_for(3);
  double pushed = 0;
  for (int w = 0; w < signal::kWheels; ++w) {
    EXPECT_NEAR(caliper(run, w), 40 * kBar, 100) << w;
    pushed += run.state.hydraulics.caliper[w].volume;
  }
  EXPECT_NEAR(run.seen.pedal_travel, 5e3 * pushed, 1e-9);
}

// Against the simulator with power; without, the fluid's: 20 mm bores, a ratio of 4 and an even bar give
// 4 x 0.5 / 314.16 mm^2 a circuit, so 1 cm^3 in each takes 12.73 mm (derived).
TEST(PedalTravel, IsTheSimulatorsWithPowerAndTheFluidsWithout) {
  PlantRun run = laid_out({});
  run.structure.pedal_path = run.structure.actuator_varies = run.structure.disturbed = true;
  run.car.pedal_path.simulator = curve({{0, 0}, {100, 0.02}, {500, 0.05}}, &run.structure.simulator_segments);
  for (int c = 0; c < signal::kAxles; ++c) {
    run.car.pedal_path.pressure_per_force[c] = 1e4;
    run.car.pedal_path.volume_limit[c] = 1e-6;
    run.car.pedal_path.travel_per_volume[c] = 4 * 0.5 / (3.14159265 / 4 * 0.02 * 0.02);
  }
  run.car.pedal_path.valve_ticks = 15;
  restart(run);
  run.driver.pedal_force = 300;
  run.step();
  EXPECT_NEAR(run.seen.pedal_travel, 0.035, 1e-12);
  run.fault.dead[0] = run.fault.dead[1] = 1;
  run.driver.pedal_force = 3000;
  run.run_for(3);
  EXPECT_NEAR(1e3 * run.seen.pedal_travel, 12.73, 0.01);
}

double distance_of(const replay::ReplayPlan& plan) {
  const replay::Trace t = replay::trace(plan);
  const size_t last = static_cast<size_t>(t.ticks - 1) * signal::kObservableCount;
  EXPECT_LE(t.rows[last + signal::column_of("speed")], 0.06);
  return t.rows[last + signal::column_of("distance")];
}

// On split friction an axle limited as one follows its wheel on the slippery side and gives the other side's
// grip away; wheels limited by themselves use both. With mu_low / mu_high = 0.3 the ideal stop takes
// 2 x 0.3 / 1.3 = 0.46 of the distance of select-low (derived, all four wheels at their peak); cycling below
// the peak leaves less of the gain.
TEST(SplitFriction, WheelsLimitedByThemselvesUseBothSides) {
  double distance[2];
  for (int each : {0, 1}) {
    SampleOptions o;
    o.start_speed = 22;
    o.travel = 0.034;
    o.length_s = 20;
    replay::ReplayPlan plan = sample_plan(o);
    set_friction(0.3, 1.0, plan);
    lay_out({.wheel_valves = true}, plan);
    plan.params.plant.wheel_valve = {0.004, 2e-8, 4e-6, 6e-6};
    for (double& scope : plan.params.control.slip.each_wheel) scope = each;
    distance[each] = distance_of(plan);
  }
  EXPECT_LT(distance[1], 0.75 * distance[0]);
  EXPECT_GT(distance[1], 0.46 * distance[0]);
}

// Valves that are never asked for less than the circuit change a dry stop by little; nor do diagonal circuits
// with them, as each axle still gets its own share.
TEST(Layout, ADryStopIsTheSameInEveryLayoutThatCanBalance) {
  SampleOptions o;
  o.start_speed = 25;
  o.travel = 0.02;
  const double plain = distance_of(sample_plan(o));
  for (bool diagonal : {false, true}) {
    replay::ReplayPlan plan = sample_plan(o);
    lay_out({.diagonal = diagonal, .wheel_valves = true}, plan);
    plan.params.plant.wheel_valve = {0.002, 2e-8, 4e-6, 6e-6};
    EXPECT_NEAR(distance_of(plan), plain, 0.02 * plain) << diagonal;
  }
}

}  // namespace
}  // namespace brakeward::reference
