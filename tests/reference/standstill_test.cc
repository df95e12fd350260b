// What a car must do at rest, whatever the tick: stay where the brakes can hold it, roll where they cannot,
// come to rest without shaking. Trusts statics: m g sin(grade) against the friction torque at the wheels.
#define BRAKEWARD_ISA isa_standstill_test
#include <algorithm>
#include <cmath>
#include <cstdio>

#include "gtest/gtest.h"
#include "reference/plant_run.h"

namespace brakeward::reference {
namespace {

constexpr double kGravity = 9.80665;

// The sample car with line pressure on the calipers, at this speed on this grade.
PlantRun at(double tick_s, double speed, double grade, double front, double rear) {
  SampleOptions o;
  o.tick_s = tick_s;
  o.start_speed = speed;
  o.grade = grade;
  PlantRun run(sample_pressure_plan(o, 0, 0));
  run.driver.line_pressure[0] = front;
  run.driver.line_pressure[1] = rear;
  return run;
}

// Of the whole car at its present loads.
double slip_stiffness(const PlantRun& run) {
  double sum = 0;
  for (int w = 0; w < 4; ++w) {
    const auto& t = run.car.tyre[w / 2];
    const double load = run.seen.wheel_load[w], df = (load - t.nominal_load) / t.nominal_load;
    sum += load * (t.k1 + t.k2 * df) * std::exp(t.k3 * df);
  }
  return sum;
}

class Standstill : public testing::TestWithParam<double> {};

// Settled within 3 s: what is left of the rocking (some 5 Hz, a third of critical damping) is beyond
// counting.
constexpr double kHeldStill = 1e-6;  // m in 60 s

TEST_P(Standstill, AHeldBrakeKeepsTheCarOnAGrade) {
  for (double grade : {-0.25, -0.05, 0.0, 0.05, 0.25}) {
    PlantRun run = at(GetParam(), 0, grade, 40e5, 30e5);
    run.run_for(3);  // the tyres take the weight
    const double from = run.state.distance;
    double farthest = 0;
    for (double t = 0; t < 60; t += GetParam()) {
      run.step();
      farthest = std::max(farthest, std::fabs(run.state.distance - from));
    }
    EXPECT_LT(farthest, kHeldStill) << "grade " << grade;
    EXPECT_LT(std::fabs(from), 0.01) << "grade " << grade;
    for (double omega : run.state.wheel_speed) EXPECT_EQ(omega, 0) << "grade " << grade;
    const double held = run.seen.contact_force[0] + run.seen.contact_force[1] + run.seen.contact_force[2] +
                        run.seen.contact_force[3];
    EXPECT_NEAR(held, run.car.mass * kGravity * std::sin(std::atan(grade)), 0.01) << "grade " << grade;
  }
}

// Friction torque at the wheels, rolling resistance included, against the slope: a tenth too little rolls, a
// tenth too much holds.
TEST_P(Standstill, TheBrakesHoldExactlyWhatTheirTorqueCanHold) {
  const double grade = 0.20, slope = std::atan(grade);
  for (double share : {0.9, 1.1}) {
    PlantRun run = at(GetParam(), 0, grade, 0, 0);
    const double weight = run.car.mass * kGravity;
    const double rolling = weight * std::cos(slope) * run.car.tyre[0].rolling;
    const double needed = (weight * std::sin(slope) - rolling) * run.car.tyre[0].radius;
    const auto& b = run.car.brake[0];
    const double friction = 0.40 + (120.0 - 20) / 130 * 0.03;  // the pad curve at the start temperature
    run.driver.line_pressure[0] = b.opening_pressure + share * needed / (2 * friction * b.torque_per_pascal);
    run.run_for(2);  // the tyres take the weight
    const double from = run.state.speed;
    run.run_for(3);
    if (share > 1) {
      EXPECT_GT(run.state.distance, -0.05);
      EXPECT_LT(std::fabs(run.state.speed), 1e-6);
    } else {
      // The rest accelerates the car and its wheels downhill.
      double inertia = run.car.mass;
      for (int w = 0; w < 4; ++w) inertia += run.car.tyre[w / 2].inertia / (0.32 * 0.32);
      const double left = 0.1 * needed / run.car.tyre[0].radius;
      EXPECT_NEAR(run.state.speed - from, -3 * left / inertia, 0.05 * 3 * left / inertia);
    }
  }
}

TEST_P(Standstill, AFreeCarOnTheLevelStays) {
  PlantRun run = at(GetParam(), 0, 0, 0, 0);
  run.run_for(60);
  EXPECT_EQ(run.state.distance, 0);
  EXPECT_EQ(run.state.speed, 0);
}

// The car rocks back on its tyres once it stands, as cars do; the rocking is small and dies away.
TEST_P(Standstill, TheEndOfAStopDoesNotShake) {
  for (double grade : {-0.1, 0.0, 0.1})
    for (double front : {15e5, 40e5}) {
      PlantRun run = at(GetParam(), 10, grade, front, 0.7 * front);
      while (run.state.speed > 0.05 && run.time < 30) run.step();
      ASSERT_LT(run.time, 30);
      // Standing, the car is a mass on the tyres' stiffness S / sigma, let go with the force of the stop in
      // them: without damping it would swing back at a / sqrt(S / (m sigma)) on top of what it has.
      const double held = run.seen.deceleration, stiffness = slip_stiffness(run);
      const double rebound = 0.05 + held / std::sqrt(stiffness / (run.car.mass * run.car.tyre[0].relaxation));
      int turns = 0;
      double before = run.state.speed, fastest = 0, late = 0;
      for (double t = 0; t < 2; t += GetParam()) {
        run.step();
        const double v = run.state.speed;
        if (v * before < 0 && std::fabs(v) > 1e-4) ++turns;
        fastest = std::max(fastest, std::fabs(v));
        if (t > 1) late = std::max(late, std::fabs(v));
        before = v;
      }
      std::printf("tick %.1f ms grade %+.1f %2.0f bar: fastest %.4f m/s, %d turns, after 1 s %.1e m/s\n",
                  GetParam() * 1e3, grade, front / 1e5, fastest, turns, late);
      EXPECT_LT(fastest, 1.05 * rebound);
      EXPECT_LE(turns, 6);
      EXPECT_LT(late, 1e-4);
    }
}

// Sliding to a halt on locked wheels, friction bounds the deceleration down to standstill: the tyres' peak
// coefficients and the load. (A damping force on top of friction would show here.)
TEST_P(Standstill, LockedWheelsNeverBrakeHarderThanFriction) {
  PlantRun run = at(GetParam(), 20, 0, 150e5, 120e5);
  double strongest = 0;
  bool locked = false;
  while (run.state.speed > 0.05) {
    run.step();
    locked = locked || (run.state.wheel_speed[0] == 0 && run.state.wheel_speed[2] == 0 && run.time > 0.5);
    if (locked && run.state.speed > 0.05) strongest = std::max(strongest, run.seen.deceleration);
  }
  ASSERT_TRUE(locked);
  double friction = 0;
  for (int w = 0; w < 4; ++w) {
    const auto& t = run.car.tyre[w / 2];
    const double df = (run.seen.wheel_load[w] - t.nominal_load) / t.nominal_load;
    friction += run.seen.wheel_load[w] * (t.d1 + t.d2 * df);
  }
  EXPECT_LT(strongest, friction / run.car.mass);
}

// Above standstill the slip of a smooth stop moves one way at a time: no chatter between steps.
TEST_P(Standstill, SlipAndSpeedDoNotChatterOnTheWay) {
  PlantRun run = at(GetParam(), 25, 0, 35e5, 25e5);
  run.run_for(1);
  int turns = 0;
  double before = 0, slope_before = 0;
  while (run.state.speed > 0.05) {
    run.step();
    const double slope = run.state.slip[0] - before;
    if (slope * slope_before < 0 && std::fabs(slope) > 1e-5) ++turns;
    before = run.state.slip[0];
    slope_before = slope;
  }
  EXPECT_LE(turns, 3);
}

INSTANTIATE_TEST_SUITE_P(Tick, Standstill, testing::Values(0.0005, 0.001, 0.002, 0.005),
                         [](const auto& p) { return "us" + std::to_string(std::lround(p.param * 1e6)); });

}  // namespace
}  // namespace brakeward::reference
