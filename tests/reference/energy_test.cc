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

}  // namespace
}  // namespace brakeward::reference
