// Energy is neither made nor lost: what the car had (moving, turning, height) went into air, rolling, brakes
// and tyre slip. Trusts the conservation law; the sums outside are midpoint sums of the same step, so what
// does not close is the error of the step itself, of first order.
#define BRAKEWARD_ISA isa_energy_test
#include <cmath>
#include <cstdio>
#include <vector>

#include "gtest/gtest.h"
#include "reference/plant_run.h"

namespace brakeward::reference {
namespace {

struct Ledger {
  double had = 0, air = 0, rolling = 0, brakes = 0, slip = 0, engine = 0, kept = 0;
  double gap() const { return had - air - rolling - brakes - slip - engine - kept; }
};

double height_of(const PlantRun& run, double grade) {
  return run.state.distance * std::sin(std::atan(grade));
}

double energy_of(const PlantRun& run, double grade) {
  double e = 0.5 * run.car.mass * run.state.speed * run.state.speed +
             run.car.mass * plant::kGravity * height_of(run, grade);
  for (int w = 0; w < 4; ++w)
    e += 0.5 * run.car.tyre[w / 2].inertia * run.state.wheel_speed[w] * run.state.wheel_speed[w];
  return e;
}

Ledger stop(double h, double grade) {
  SampleOptions o;
  o.tick_s = h;
  o.grade = grade;
  PlantRun run(sample_pressure_plan(o, 0, 0));
  run.driver.coasting = 1;
  run.driver.line_pressure[0] = 40e5;
  run.driver.line_pressure[1] = 25e5;
  Ledger sum;
  sum.had = energy_of(run, grade);
  while (run.state.speed > 2.5) {
    const plant::PlantState<double> before = run.state;
    run.step();
    const auto& car = run.car;
    const double v = 0.5 * (before.speed + run.state.speed);
    sum.air += h * car.drag * v * v * v;
    const double engine = car.engine_braking * std::fmin(1, v / car.engine_braking_fade);
    for (int w = 0; w < 4; ++w) {
      const int a = w / 2;
      const double omega = 0.5 * (before.wheel_speed[w] + run.state.wheel_speed[w]);
      sum.brakes += h * run.seen.brake_torque[w] * omega;
      sum.rolling += h * car.tyre[a].rolling * run.seen.wheel_load[w] * car.tyre[a].radius * omega;
      sum.slip += h * run.seen.contact_force[w] * (omega * car.tyre[a].radius - v);
      sum.engine += h * car.driven_share[a] * engine * omega;
    }
  }
  sum.kept = energy_of(run, grade);
  return sum;
}

// What may be left open of what the car had, at 1 ms.
constexpr double kOpenShare = 1e-4;

TEST(Energy, AStopClosesItsLedger) {
  for (double grade : {-0.05, 0.0, 0.05}) {
    std::vector<double> open;
    for (double h : {1e-3, 0.5e-3, 0.25e-3}) {
      const Ledger l = stop(h, grade);
      const double lost = l.had - l.kept;
      std::printf(
          "grade %+.2f step %.2f ms: %.0f J = air %.0f rolling %.0f brakes %.0f slip %.0f engine %.0f "
          "gap %.3f\n",
          grade, h * 1e3, lost, l.air, l.rolling, l.brakes, l.slip, l.engine, l.gap());
      open.push_back(l.gap() / lost);
      EXPECT_GT(l.brakes, 0.8 * lost - 2000);
      EXPECT_GT(l.slip, 0);
    }
    EXPECT_LT(std::fabs(open[0]), kOpenShare);
    EXPECT_LT(std::fabs(open[2]), 0.3 * kOpenShare);
  }
}

// Motors at both axles take their part: what the wheels give them, and of that the battery's share.
TEST(Energy, MotorsAndBrakesShareAStop) {
  SampleOptions o;
  PlantRun run(sample_pressure_plan(o, 0, 0));
  run.structure.motors = true;
  constexpr double kEfficiency = 0.9;
  for (int a = 0; a < signal::kAxles; ++a) {
    run.car.motor[a].peak = 900;
    run.car.motor[a].power = 45e3;
    run.car.motor[a].lag = 0.03;
    run.car.motor[a].coast = 60;
    run.car.motor[a].coast_fade = 3;
    run.motor_command[a] = a == signal::kFront ? -700 : -300;
  }
  run.car.battery.capacity = 5e7;
  run.car.battery.efficiency = kEfficiency;
  run.car.battery.regeneration_limit =
      curve({{0, 70e3}, {0.9, 70e3}, {1, 0}}, &run.structure.regeneration_segments);
  run.car.battery.start_charge = 0.5;
  run.constants = plant::constants_of(run.car, run.structure);
  plant::start(run.car, run.constants, run.state);
  run.driver.coasting = 1;
  run.driver.line_pressure[0] = 20e5;
  run.driver.line_pressure[1] = 12e5;
  Ledger sum;
  double motors = 0;
  sum.had = energy_of(run, 0);
  const double h = o.tick_s;
  while (run.state.speed > 2.5) {
    const plant::PlantState<double> before = run.state;
    run.step();
    const double v = 0.5 * (before.speed + run.state.speed);
    const double engine = run.car.engine_braking * std::fmin(1, v / run.car.engine_braking_fade);
    sum.air += h * run.car.drag * v * v * v;
    for (int w = 0; w < 4; ++w) {
      const int a = w / 2;
      const double omega = 0.5 * (before.wheel_speed[w] + run.state.wheel_speed[w]);
      const auto& tyre = run.car.tyre[a];
      sum.brakes += h * run.seen.brake_torque[w] * omega;
      sum.rolling += h * tyre.rolling * run.seen.wheel_load[w] * tyre.radius * omega;
      sum.slip += h * run.seen.contact_force[w] * (omega * tyre.radius - v);
      sum.engine += h * run.car.driven_share[a] * engine * omega;
      motors -= h * 0.5 * run.seen.motor_torque[a] * omega;
    }
  }
  sum.kept = energy_of(run, 0);
  const double lost = sum.had - sum.kept;
  std::printf("with motors: %.0f J = motors %.0f brakes %.0f, gap %.3f\n", lost, motors, sum.brakes,
              sum.gap() - motors);
  EXPECT_GT(motors, 0.2 * lost);
  EXPECT_LT(std::fabs(sum.gap() - motors), kOpenShare * lost);
  EXPECT_NEAR(run.seen.energy_recovered, kEfficiency * motors, 1e-9 * motors);
  EXPECT_NEAR(run.seen.battery_charge, 0.5 + run.seen.energy_recovered / 5e7, 1e-12);
}

// A wheel on its springs over a bumpy road: what the road does on the tyre is kept in springs and masses or
// lost in the damper. Between steps the road's height jumps, and the tyre's spring with it.
TEST(Energy, AWheelOnItsSpringsClosesItsLedger) {
  const plant::SuspensionParams<double> p{42, 26e3, 1900, 210e3};
  constexpr double kBody = 360, h = 1e-3;
  plant::BumpState<double> s{};
  const auto tyre = [&](double height) {
    return 0.5 * p.tyre_rate * (height - s.wheel) * (height - s.wheel);
  };
  const auto rest = [&] {
    const double stretch = s.body - s.wheel;
    return 0.5 * (kBody * s.body_speed * s.body_speed + p.unsprung_mass * s.wheel_speed * s.wheel_speed +
                  p.rate * stretch * stretch);
  };
  double by_road = 0, damped = 0, height = 0;
  for (int i = 0; i < 3000; ++i) {
    const double next = 0.008 * std::sin(0.02 * i) + 0.004 * std::sin(0.11 * i);
    by_road += tyre(next) - tyre(height);
    height = next;
    const plant::BumpState<double> before = s;
    plant::step_wheel_on_springs(p, kBody, 1e5, height, h, s);
    const double speed = 0.5 * (before.body_speed + s.body_speed - before.wheel_speed - s.wheel_speed);
    damped += h * p.damping * speed * speed;
  }
  EXPECT_GT(damped, 5);
  EXPECT_NEAR(by_road - damped, rest() + tyre(height), 1e-9 * damped);
}

}  // namespace
}  // namespace brakeward::reference
