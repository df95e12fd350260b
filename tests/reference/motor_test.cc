// Motors and battery against closed forms: lag, limits, energy. Tyres are stiff and the rest of the
// resistance is taken away, so that the car is a mass the motors brake.
#define BRAKEWARD_ISA isa_motor_test
#include <cmath>
#include <cstring>

#include "gtest/gtest.h"
#include "reference/plant_run.h"

namespace brakeward::reference {
namespace {

constexpr double kNever = 1e12;

// Both axles with a motor without limits that answers at once.
PlantRun electric(double speed = 30) {
  SampleOptions o;
  o.start_speed = speed;
  replay::ReplayPlan plan = sample_pressure_plan(o, 0, 0);
  auto& car = plan.params.plant;
  car.drag = car.downforce[0] = car.downforce[1] = car.engine_braking = 0;
  for (int a = 0; a < signal::kAxles; ++a) {
    car.tyre[a].rolling = 0;
    car.tyre[a].k1 = 200;
    car.tyre[a].k2 = car.tyre[a].k3 = 0;
    car.motor[a] = {1e4, kNever, 1e-6, 0, 3};
  }
  car.battery = {kNever, 0.9, curve({{0, kNever}}, &plan.structure.plant.regeneration_segments), 0.5};
  plan.structure.plant.motors = true;
  return PlantRun(plan);
}

// Mass that the motors brake: the car and its turning wheels.
double moving_mass(const PlantRun& run) {
  double mass = run.car.mass;
  for (const auto& t : run.car.tyre) mass += 2 * t.inertia / (t.radius * t.radius);
  return mass;
}

double kinetic(const PlantRun& run) {
  double e = 0.5 * run.car.mass * run.state.speed * run.state.speed;
  for (int w = 0; w < signal::kWheels; ++w)
    e += 0.5 * run.car.tyre[w / 2].inertia * run.state.wheel_speed[w] * run.state.wheel_speed[w];
  return e;
}

// T = T_asked (1 - e^(-t / lag)), to rounding: the step is exact for a constant demand.
TEST(Motor, FollowsWithItsLag) {
  PlantRun run = electric();
  run.car.motor[0].lag = 0.05;
  run.constants = plant::constants_of(run.car, run.structure);
  run.motor_command[0] = -800;
  for (int i = 1; i <= 300; ++i) {
    run.step();
    ASSERT_NEAR(run.seen.motor_torque[0], -800 * (1 - std::exp(-run.time / 0.05)), 1e-9) << i;
    ASSERT_EQ(run.seen.motor_torque[1], 0);
  }
}

TEST(Motor, HasAPeakTorque) {
  PlantRun run = electric();
  run.car.motor[1].peak = 700;
  run.motor_command[1] = -2000;
  run.run_for(0.5);
  EXPECT_DOUBLE_EQ(run.seen.motor_torque[1], -700);
  run.motor_command[1] = 2000;
  run.run_for(0.1);
  EXPECT_DOUBLE_EQ(run.seen.motor_torque[1], 700);
}

// Constant torque: dv/dt = T / (r m). Tyres of this stiffness differ by 0.02 % of slip.
TEST(Motor, BrakesTheCarWithItsTorque) {
  PlantRun run = electric();
  run.motor_command[0] = -600;
  run.motor_command[1] = -400;
  run.run_for(0.5);
  const double before = run.state.speed;
  run.run_for(2);
  EXPECT_NEAR(before - run.state.speed, 2 * 1000 / (0.32 * moving_mass(run)), 1e-3);
}

// At constant power kinetic energy falls linearly: v^2 = v_0^2 - 2 P t / m. What the tyres lose to slip, F /
// K, is not there: a torque of 3000 N m is 9400 N at 0.32 m, over 200 times 14.7 kN 0.3 %.
TEST(Motor, AtItsPowerLimitTheCarLosesEnergyEvenly) {
  PlantRun run = electric(40);
  run.car.motor[1].power = 60e3;
  run.motor_command[1] = -5000;
  run.run_for(0.2);
  const double before = kinetic(run), at = run.time;
  run.run_for(3);
  const double power = (before - kinetic(run)) / (run.time - at);
  EXPECT_NEAR(power, 60e3, 0.005 * 60e3);
  EXPECT_NEAR(-run.seen.motor_torque[1] * 0.5 * (run.state.wheel_speed[2] + run.state.wheel_speed[3]), 60e3,
              60);
}

// Both motors' braking power together keeps to what the battery takes, in proportion to what each is asked
// for.
TEST(Motor, TheBatteryLimitsBothInProportion) {
  PlantRun run = electric();
  run.car.battery.regeneration_limit = curve({{0, 40e3}}, &run.structure.regeneration_segments);
  run.motor_command[0] = -1500;
  run.motor_command[1] = -500;
  run.run_for(1);
  EXPECT_NEAR(run.seen.motor_torque[0] / run.seen.motor_torque[1], 3, 1e-3);
  double power = 0;
  for (int w = 0; w < signal::kWheels; ++w)
    power -= 0.5 * run.seen.motor_torque[w / 2] * run.state.wheel_speed[w];
  EXPECT_NEAR(power, 40e3, 40);
  run.car.battery.regeneration_limit = curve({{0, 0}}, &run.structure.regeneration_segments);
  run.step();
  EXPECT_EQ(run.seen.motor_torque[0], 0) << "a full battery takes nothing";
}

// A limit that falls linearly to a full battery, P = P_0 (1 - c), fills it as 1 - c = (1 - c_0) e^(-eta P_0 t
// / E).
TEST(Motor, TheLimitFallsAsTheBatteryFills) {
  PlantRun run = electric(60);
  const double full = 300e3, capacity = 500e3, efficiency = 0.9;
  run.car.battery = {capacity, efficiency, curve({{0, full}, {1, 0}}, &run.structure.regeneration_segments),
                     0.5};
  plant::start(run.car, run.constants, run.state);
  run.motor_command[0] = run.motor_command[1] = -5000;
  run.run_for(0.02);  // the lag of a millionth of a second and the first slip
  const double left = 1 - run.state.motors.charge, at = run.time;
  for (int i = 0; i < 4; ++i) {
    run.run_for(0.5);
    const double expected = left * std::exp(-efficiency * full * (run.time - at) / capacity);
    EXPECT_NEAR(1 - run.seen.battery_charge, expected, 1e-3 * expected) << run.time;
  }
}

// What the car lost arrived in the battery but for efficiency and slip; a way back costs the same again.
TEST(Motor, EnergyIsRecoveredAndSpent) {
  PlantRun run = electric();
  run.car.battery.capacity = 50e6;
  run.motor_command[0] = -900;
  run.motor_command[1] = -300;
  double slip = 0, before = kinetic(run), at_wheels = 0;
  for (int i = 0; i < 4000; ++i) {
    const plant::PlantState<double> s = run.state;
    run.step();
    const double v = 0.5 * (s.speed + run.state.speed);
    for (int w = 0; w < signal::kWheels; ++w) {
      const double omega = 0.5 * (s.wheel_speed[w] + run.state.wheel_speed[w]);
      slip += 1e-3 * run.seen.contact_force[w] * (omega * 0.32 - v);
      at_wheels -= 1e-3 * 0.5 * run.seen.motor_torque[w / 2] * omega;
    }
  }
  const double lost = before - kinetic(run);
  EXPECT_NEAR(at_wheels + slip, lost, 1e-4 * lost);
  EXPECT_NEAR(run.seen.energy_recovered, 0.9 * at_wheels, 1e-9 * at_wheels);
  EXPECT_NEAR((run.seen.battery_charge - 0.5) * 50e6, run.seen.energy_recovered, 1e-6 * at_wheels);
  const double kept = run.seen.energy_recovered, charge = run.seen.battery_charge, slow = kinetic(run);
  run.motor_command[0] = 900;
  run.motor_command[1] = 300;
  run.run_for(2);
  EXPECT_NEAR(run.seen.energy_recovered, kept, 2e-6 * kept) << "but for the tick in which the torque turns";
  EXPECT_NEAR((charge - run.seen.battery_charge) * 50e6, (kinetic(run) - slow) / 0.9,
              2e-3 * (kinetic(run) - slow));
}

// With the accelerator released the motor brakes in place of an engine, and lets the car come to rest.
TEST(Motor, CoastingBrakesAndFades) {
  PlantRun run = electric(10);
  run.car.motor[1].coast = 800;
  run.run_for(0.5);
  EXPECT_EQ(run.seen.motor_torque[1], 0) << "accelerator held";
  run.driver.coasting = 1;
  run.run_for(0.5);
  EXPECT_DOUBLE_EQ(run.seen.motor_torque[1], -800);
  const double before = run.state.speed;
  run.run_for(1);
  EXPECT_NEAR(before - run.state.speed, 800 / (0.32 * moving_mass(run)), 1e-3);
  EXPECT_GT(run.seen.energy_recovered, 0);
  run.run_for(60);
  EXPECT_GE(run.state.speed, 0);
  EXPECT_LT(run.state.speed, 0.01);
}

TEST(Motor, OneThatRestsChangesNoBit) {
  PlantRun with = electric(), without = electric();
  without.structure.motors = false;
  with.driver.line_pressure[0] = without.driver.line_pressure[0] = 30e5;
  for (int i = 0; i < 3000; ++i) {
    with.step();
    without.step();
    ASSERT_EQ(with.state.speed, without.state.speed) << i;
    for (int w = 0; w < signal::kWheels; ++w)
      ASSERT_EQ(with.state.wheel_speed[w], without.state.wheel_speed[w]) << i;
  }
  EXPECT_EQ(with.seen.energy_recovered, 0);
}

}  // namespace
}  // namespace brakeward::reference
