// Gas, vapour, leaks, knock-back, seals, weak actuators and the pedal's way against closed forms.
#define BRAKEWARD_ISA isa_hydraulics_test
#include <cmath>

#include "gtest/gtest.h"
#include "reference/plant_run.h"

namespace brakeward::reference {
namespace {

constexpr double kBar = 1e5;

// The sample car at rest, its calipers apart.
PlantRun apart(double tick_s = 0.001) {
  SampleOptions o;
  o.start_speed = 0;
  o.tick_s = tick_s;
  PlantRun run(sample_plan(o));
  run.structure.wheels_apart = true;
  return run;
}

void restart(PlantRun& run) {
  run.constants = plant::constants_of(run.car, run.structure);
  plant::start(run.car, run.constants, run.state);
}

// V = V_moved + G p / (p + p_a) with Boyle's law: 1 cm^3 at 1 bar is 0.0099 cm^3 at 101 bar absolute
// (derived).
TEST(Gas, TakesTheVolumeOfBoylesLaw) {
  const PlantRun run(sample_plan());
  const auto& b = run.car.brake[0];
  const auto& k = run.constants.axle[0];
  const double gas = 1e-6, p_a = plant::kAtmosphere;
  double moved = 0;
  for (double volume = 0; volume < 3e-6; volume += 2e-8) {
    const auto c = plant::caliper_with_gas(b, k, gas, volume, moved);
    moved = c.moved;
    EXPECT_NEAR(c.moved + gas * c.pressure / (c.pressure + p_a), volume, 1e-12) << volume;
    EXPECT_EQ(c.pressure, plant::caliper_at(b, k, c.moved).pressure);
    const double step = 1e-10;
    const auto next = plant::caliper_with_gas(b, k, gas, volume + step, moved);
    EXPECT_NEAR((next.moved - c.moved) * c.give, step, 2e-3 * step) << volume;
  }
  EXPECT_NEAR(1e6 * gas * p_a / (100 * kBar + p_a), 1e6 * gas * 1.01325 / 101.01325, 1e-12);
}

// While the volume grows no faster than the largest flow of the demo cars, Newton's few steps are enough.
TEST(Gas, IsSolvedToTheLastPartsInAStop) {
  PlantRun run = apart();
  run.structure.gas = true;
  for (double& air : run.car.caliper_air) air = 1.5e-6;
  for (auto& act : run.car.actuator) act.flow_limit = 100e-6, act.volume_limit = 1e-5;
  restart(run);
  for (int i = 0; i < 1500; ++i) {
    run.command[0] = run.command[1] = i < 700 ? 90 * kBar : 0;
    const auto before = run.state.hydraulics;  // the gas warms after the step
    run.step();
    for (int w = 0; w < signal::kWheels; ++w) {
      const auto& c = run.state.hydraulics.caliper[w];
      const double filled = before.gas[w] * c.pressure / (c.pressure + plant::kAtmosphere);
      ASSERT_NEAR(c.moved + filled, c.volume, 1e-12) << i;
    }
  }
}

// The air is paid in the first few bar: for the same pressure a caliper with 1 cm^3 takes 0.99 cm^3 more at
// 100 bar (handbook figure 0.99; derived).
TEST(Gas, AirCostsItsVolume) {
  double volume[2];
  for (int with : {0, 1}) {
    PlantRun run = apart();
    run.structure.gas = true;
    for (auto& act : run.car.actuator) act.volume_limit = 1e-5;
    for (double& air : run.car.caliper_air) air = with * 1e-6;
    run.car.start_disc[0] = run.car.start_disc[1] = 20;  // nothing warms the air
    restart(run);
    run.command[0] = 100 * kBar;
    run.run_for(3);
    EXPECT_NEAR(run.seen.pressure[0], 100 * kBar, 10);
    volume[with] = run.state.hydraulics.caliper[0].volume;
  }
  EXPECT_NEAR(1e6 * (volume[1] - volume[0]), 0.99, 0.001);
}

// Water's boiling point at 2 and 10 bar absolute is 120.2 and 179.9 degC (steam tables, from memory); the
// heat of vaporization is taken as constant, which leaves some per cent of pressure.
TEST(Vapour, BoilsWhereSteamTablesSay) {
  plant::BrakeParams<double> b{};
  b.boiling = 100;
  b.vapour_growth = 1e-8;
  b.vapour_limit = 1;
  const double rows[][2] = {{120.2, 2e5}, {179.9, 10e5}};
  for (const auto& row : rows) {
    EXPECT_GT(plant::vapour_after(b, row[0], 0.96 * row[1] - plant::kAtmosphere, 0.004, 1e-7), 1e-7);
    EXPECT_LT(plant::vapour_after(b, row[0], 1.04 * row[1] - plant::kAtmosphere, 0.004, 1e-7), 1e-7);
  }
}

// Fluid that boils at 180 degC, at these temperatures; its heat is made so large that they stay.
PlantRun hot(double front_celsius, double rear_celsius) {
  PlantRun run = apart();
  run.structure.gas = true;
  for (int a = 0; a < signal::kAxles; ++a) {
    run.car.brake[a].boiling = 180;
    run.car.brake[a].vapour_growth = 0.02e-6;
    run.car.brake[a].vapour_limit = 40e-6;
    run.car.start_fluid[a] = a == 0 ? front_celsius : rear_celsius;
    run.car.brake[a].heat.capacity[plant::HeatChain<>::kFluid] = 1e9;
  }
  restart(run);
  return run;
}

// Ten kelvin above the point for two seconds at rest, then the next application: it finds the vapour.
TEST(Vapour, FormsAfterReleaseAndTellsAtTheNextApplication) {
  PlantRun run = hot(190, 179);
  run.run_for(2);
  EXPECT_NEAR(1e6 * run.seen.gas[0], 0.02 * 10 * 2, 1e-3);
  EXPECT_EQ(run.seen.gas[2], 0);
  // 190 degC is the boiling point at 1.27 bar absolute: a firm application condenses it, by e in 50 ms.
  run.command[0] = 60 * kBar;
  run.run_for(0.05);
  const double before = run.seen.gas[0];
  run.run_for(0.1);
  EXPECT_LT(before, 0.4e-6);
  EXPECT_NEAR(run.seen.gas[0] / before, std::exp(-2.0), 0.02);
}

TEST(Vapour, DelaysTheNextApplication) {
  const auto ticks_to_20_bar = [](double soaked_s) {
    PlantRun run = hot(190, 190);
    run.run_for(soaked_s);
    run.command[0] = 60 * kBar;
    int ticks = 0;
    while (run.seen.pressure[0] < 20 * kBar && ticks < 1000) run.step(), ++ticks;
    return ticks;
  };
  EXPECT_GT(ticks_to_20_bar(4), ticks_to_20_bar(0.01) + 10);
}

// Pads knocked back take their volume at the next application and, the seals having rolled, not again.
TEST(KnockBack, CostsItsVolumeOnce) {
  PlantRun run = apart();
  run.structure.disturbed = true;
  run.car.knock_back[signal::kFrontLeft] = 0.5e-6;
  restart(run);
  run.fault.knock_due[signal::kFrontLeft] = 1;
  run.step();
  auto& calipers = run.state.hydraulics.caliper;
  EXPECT_NEAR(calipers[0].volume, -0.5e-6, 1e-18);
  EXPECT_EQ(calipers[1].volume, 0);
  const auto ticks_to_10_bar = [&](int wheel) {
    run.command[0] = 60 * kBar;
    int ticks = 0;
    while (calipers[wheel].pressure < 10 * kBar && ticks < 1000) run.step(), ++ticks;
    return ticks;
  };
  const int first = ticks_to_10_bar(0);
  run.run_for(1);
  EXPECT_NEAR(calipers[0].pressure, calipers[1].pressure, 1);  // in the end both are full
  run.command[0] = 0;
  run.run_for(2);
  EXPECT_NEAR(calipers[0].volume, 0, 1e-15);
  const int second = ticks_to_10_bar(0);
  EXPECT_GT(first, second + 5);
}

TEST(KnockBack, WaitsForAReleasedBrakeAndIsMirrored) {
  for (int wheel : {0, 1}) {
    PlantRun run = apart();
    run.structure.disturbed = true;
    run.car.knock_back[wheel] = 0.4e-6;
    restart(run);
    run.command[0] = 40 * kBar;
    run.run_for(1);
    run.fault.knock_due[wheel] = 1;
    run.run_for(0.5);
    EXPECT_NEAR(run.state.hydraulics.caliper[wheel].pressure, 40 * kBar, 10);
    EXPECT_EQ(run.state.hydraulics.knock_back[wheel], 0.4e-6);
    run.command[0] = 0;
    run.run_for(2);
    EXPECT_EQ(run.state.hydraulics.knock_back[wheel], 0);
    EXPECT_NEAR(run.state.hydraulics.caliper[wheel].volume, -0.4e-6, 5e-8);
  }
}

// With pressure p held, G sqrt(p) leaves through the hole (Bernoulli), until the stroke is used up.
TEST(Leak, LosesWhatTheOrificeLetsThrough) {
  PlantRun run = apart();
  run.structure.disturbed = run.structure.leaks = true;
  run.car.actuator[0].volume_limit = 8e-6;
  restart(run);
  run.command[0] = 50 * kBar;
  run.run_for(1);
  const double gain = 0.61 * 0.25 * 3.14159265358979 * 0.15e-3 * 0.15e-3 * std::sqrt(2 / 1060.0);
  run.fault.leak[0] = gain;
  run.run_for(1);
  const double at_1_s = run.state.hydraulics.leaked[0], p = run.seen.pressure[0];
  run.run_for(0.1);
  const double lost = run.state.hydraulics.leaked[0] - at_1_s;
  // The laminar part of the law takes p_lam / 2p of it.
  EXPECT_NEAR(lost / (0.1 * gain * std::sqrt(p)), 1, 0.7 * run.car.brake[0].laminar_pressure / p);
  run.run_for(30);
  EXPECT_LT(run.seen.pressure[0], 1 * kBar);
  EXPECT_LT(run.seen.authority_margin, 0.01);
  run.command[0] = 0;
  run.fault.leak[0] = 0;
  run.run_for(1);
  run.command[0] = 50 * kBar;
  run.run_for(1);
  EXPECT_NEAR(run.seen.pressure[0], 50 * kBar, 10);  // filled up from the reservoir
}

// Rising pressure loses the seals' friction, falling pressure keeps it: torque differs by 2 mu A_2 f.
TEST(Seals, MakeTheTorqueLagThePressure) {
  SampleOptions o;
  o.start_speed = 0;
  PlantRun run(sample_pressure_plan(o, 0, 0));
  run.structure.seals = true;
  run.car.brake[0].seal_friction = 0.5 * kBar;
  restart(run);
  const auto torque_at = [&](double bar) {
    run.driver.line_pressure[0] = bar * kBar;
    run.step();
    return run.seen.brake_torque[0];
  };
  torque_at(0);
  const double rising = torque_at(50);
  torque_at(80);
  const double falling = torque_at(50);
  const double per_bar = 0.4 * run.car.brake[0].torque_per_pascal * kBar;
  EXPECT_NEAR((falling - rising) / per_bar, 2 * 0.5, 0.06);  // 0.4 to 0.43 between 20 and 150 degC
}

// One node: T = T_a + P/G (1 - exp(-G t / C)); explicit Euler of 1 ms against a time constant of 200 s.
TEST(Actuator, HeatsTowardsItsBalanceAndGivesLess) {
  PlantRun run = apart();
  run.structure.actuator_varies = run.structure.disturbed = true;
  auto& act = run.car.actuator[0];
  act.heat_at_stall = 600;
  act.per_heat_capacity = 1 / 400.0;
  act.cooling = 2;
  act.derating_from = 60;
  act.derating_per_kelvin = 0.6 / 40;
  act.derated = 0.4;
  restart(run);
  run.fault.supply = 12;
  run.command[0] = 75 * kBar;
  run.run_for(100);
  const double power = 600 * 0.25;
  EXPECT_NEAR(run.seen.winding[0], 20 + power / 2 * (1 - std::exp(-2 * 100 / 400.0)), 0.1);
  EXPECT_EQ(run.state.hydraulics.feed[0].strength, 1);
  // What it gives then makes just the heat that leaves it so much: s = 1 - d (T - T_1), T = T_a + P s^2 / G.
  run.run_for(1900);
  const double d = 0.6 / 40, gain = d * 600 / 2, constant = 1 + d * (60 - 20);
  const double strength = (std::sqrt(1 + 4 * gain * constant) - 1) / (2 * gain);
  EXPECT_NEAR(run.state.hydraulics.feed[0].strength, strength, 1e-3);
  EXPECT_NEAR(run.seen.pressure[0], 150 * kBar * strength, 0.2 * kBar);
  EXPECT_NEAR(run.seen.winding[0], 20 + 300 * strength * strength, 0.1);
}

// Stall pressure and free flow of an ideal motor go with its voltage.
TEST(Actuator, IsAsStrongAsItsSupply) {
  for (double volts : {12.0, 9.0, 6.0}) {
    PlantRun run = apart();
    run.structure.actuator_varies = run.structure.disturbed = true;
    for (auto& act : run.car.actuator) act.per_nominal_supply = 1 / 12.0, act.volume_limit = 1e-4;
    restart(run);
    run.fault.supply = volts;
    run.command[0] = 150 * kBar;
    run.run_for(20);
    EXPECT_NEAR(run.seen.pressure[0] / kBar, 150 * volts / 12, 0.05) << volts;
  }
}

// Where the motor's line Q = Q_0 (1 - p / p_stall) meets the orifices' curve Q = 2 G sqrt(p).
TEST(Actuator, DeliversWhereMotorAndLinesMeet) {
  PlantRun run = apart(1e-6);
  auto& act = run.car.actuator[0];
  act.lag = 1e-12;
  run.car.brake[0].clearance = 1e-3;
  restart(run);
  run.command[0] = act.stall_pressure;
  run.step();
  const double flow =
      (run.state.hydraulics.caliper[0].volume + run.state.hydraulics.caliper[1].volume) / 1e-6;
  const double behind = flow / (2 * run.car.brake[0].flow_gain) * flow / (2 * run.car.brake[0].flow_gain);
  EXPECT_NEAR(flow / act.flow_limit, 1 - behind / act.stall_pressure, 1e-9);
  EXPECT_GT(behind, 5 * kBar);
}

// p = F x ratio x efficiency / area: 500 N, 4, 0.95, bore 22.22 mm give 4.8998 MPa; the balance bar of 31.5
// and 38.5 mm with bores 15.9 and 17.8 mm gives p_f/p_r = 1.5318 (both derived). Here: the valves open after
// their time, and the calipers get the pedal's pressure.
TEST(PedalPath, PushesThroughWithoutPower) {
  PlantRun run = apart();
  run.structure.actuator_varies = run.structure.disturbed = run.structure.pedal_path = true;
  for (int a : {0, 1}) {
    run.car.pedal_path.pressure_per_force[a] = 4.8998e6 / 500;
    run.car.pedal_path.volume_limit[a] = 5e-6;
  }
  run.car.pedal_path.valve_ticks = 15;
  run.car.pedal_path.drop_out = 7;
  restart(run);
  run.fault.supply = 12;
  run.driver.pedal_force = 500;
  run.run_for(0.5);
  EXPECT_EQ(run.seen.pressure[0], 0);  // by wire nothing was asked
  run.fault.supply = 6;
  run.run_for(0.015);
  EXPECT_EQ(run.seen.pressure[0], 0);
  run.run_for(1);
  EXPECT_NEAR(run.seen.pressure[0], 4.8998e6, 10);
  run.fault.supply = 12;
  run.run_for(1);
  EXPECT_EQ(run.seen.pressure[0], 0);
  // A short master cylinder is at its end before the pressure is there.
  run.car.pedal_path.volume_limit[0] = 0.8e-6;
  run.fault.supply = 0;
  run.run_for(2);
  const auto& c = run.state.hydraulics.caliper;
  EXPECT_NEAR(c[0].volume + c[1].volume, 0.8e-6, 1e-12);
}

// Calipers computed apart are those computed as one.
TEST(Circuits, AnAxleApartIsTheAxleTogether) {
  PlantRun one = apart(), two = apart();
  one.structure.wheels_apart = false;
  for (int i = 0; i < 2000; ++i) {
    for (auto* run : {&one, &two}) {
      run->command[0] = i < 1000 ? 80 * kBar : 5 * kBar;
      run->command[1] = i < 1400 ? 40 * kBar : 0;
      run->step();
    }
    for (int a : {0, 1}) ASSERT_NEAR(one.seen.pressure[a], two.seen.pressure[a], 1e-3) << i;
  }
}

// d lack / d work = -lack / W: after the work W a pad that lacked 40 % lacks 40 % / e; and volume worn is
// rate times work.
TEST(Pads, DryAndWearByFrictionWork) {
  SampleOptions o;
  o.start_speed = 60;
  PlantRun run(sample_pressure_plan(o, 0, 0));
  run.structure.pads_lack = true;
  const double work = 200e3, rate = 3e-14;
  for (auto& b : run.car.brake) {
    b.pad_lack = 0.4;
    b.per_recovery_work = 1 / work;
    b.wear = curve({{0, rate}}, &run.structure.wear_segments);
  }
  run.structure.wear_segments = 1;
  restart(run);
  run.driver.line_pressure[0] = 30 * kBar;
  while (run.state.pad[0].worn < rate * work && run.seen.speed >= 0 && run.time < 30) run.step();
  ASSERT_LT(run.time, 30);
  EXPECT_NEAR(run.state.pad[0].lack, 0.4 * std::exp(-1), 0.4 * 0.02);
  EXPECT_EQ(run.state.pad[2].worn, 0);
  EXPECT_EQ(run.state.pad[2].lack, 0.4);
}

TEST(Pads, RubWhenReleased) {
  PlantRun run(sample_pressure_plan({}, 0, 0));
  run.car.brake[0].drag = 3;
  restart(run);
  run.step();
  EXPECT_EQ(run.seen.brake_torque[0], 3);
  EXPECT_EQ(run.seen.brake_torque[2], 0);
}

}  // namespace
}  // namespace brakeward::reference
