// Limited slip: the difference between the wheels' torques is bounded by the locking torque; below the bound
// the wheels turn as one, at the bound the slower one gets more. Standard mechanics of dry friction.
#define BRAKEWARD_ISA isa_differential_test
#include <cmath>
#include <cstring>
#include <random>

#include "gtest/gtest.h"
#include "reference/plant_run.h"

namespace brakeward::reference {
namespace {

double reached(double momentum, double dry, double inertia) {
  return std::copysign(std::fmax(0, std::fabs(momentum) - dry), momentum) / inertia;
}

TEST(Differential, HoldsTogetherWithWhatItHas) {
  std::mt19937 dice(1);
  const auto between = [&](double low, double high) {
    return low + (high - low) * (static_cast<double>(dice()) * 0x1p-32);
  };
  int as_one = 0, at_bound = 0, at_rest = 0;
  for (int i = 0; i < 20000; ++i) {
    const double inertia[] = {between(0.5, 3), between(0.5, 3)}, dry[] = {between(0, 2), between(0, 2)};
    const double before[] = {between(-3, 3), between(-3, 3)}, difference = between(0, 4);
    double momentum[] = {before[0], before[1]};
    plant::hold_together(difference, inertia, dry, momentum);
    const double moved = momentum[0] - before[0];
    ASSERT_NEAR(momentum[0] + momentum[1], before[0] + before[1], 1e-14);
    ASSERT_LE(std::fabs(moved), 0.5 * difference + 1e-14);
    const double left = reached(momentum[0], dry[0], inertia[0]),
                 right = reached(momentum[1], dry[1], inertia[1]);
    if (std::fabs(moved) < 0.5 * difference - 1e-12) {
      ASSERT_NEAR(left, right, 1e-12) << i;
      ++(left == 0 && right == 0 ? at_rest : as_one);
    } else {
      ASSERT_GE((right - left) * moved, -1e-12) << "the slower wheel gets more";
      ++at_bound;
    }
  }
  EXPECT_GT(as_one, 1000);
  EXPECT_GT(at_rest, 1000);
  EXPECT_GT(at_bound, 1000);
}

// Coasting down a road that is slippery on the left, brakes off; the rear wheels drag the engine.
PlantRun coasting(double left, double preload, double ratio, bool locks = true) {
  SampleOptions o;
  o.start_speed = 25;
  replay::ReplayPlan plan = sample_pressure_plan(o, 0, 0);
  set_friction(left, 0.9, plan);
  plan.params.plant.engine_braking = 900;
  plan.params.plant.differential[1] = {preload, ratio};
  plan.structure.plant.rear_locks = locks;
  PlantRun run(plan);
  run.driver.coasting = 1;
  return run;
}

// Torque by which the left wheel is turned more than the right one: J dw/dt = T + F r + dry friction, each
// side.
double difference_in(PlantRun& run) {
  const double before[] = {run.state.wheel_speed[2], run.state.wheel_speed[3]};
  run.step();
  double torque[2];
  for (int side = 0; side < 2; ++side) {
    const int w = 2 + side;
    const auto& t = run.car.tyre[1];
    torque[side] = t.inertia * (run.state.wheel_speed[w] - before[side]) / run.structure.tick_s +
                   t.radius * run.seen.contact_force[w] + run.seen.brake_torque[w] +
                   t.rolling * run.seen.wheel_load[w] * t.radius;
  }
  return torque[0] - torque[1];
}

TEST(Differential, BoundsTheTorqueDifferenceOnSplitFriction) {
  const double preload = 80, ratio = 0.3;
  PlantRun run = coasting(0.05, preload, ratio);
  const double most = preload + ratio * run.car.engine_braking;
  double greatest = 0;
  for (int i = 0; run.state.wheel_speed[2] > 5; ++i) {  // rad/s; at rest dry friction is not all it can be
    const double difference = difference_in(run);
    ASSERT_LE(std::fabs(difference), most * (1 + 1e-9)) << i;
    greatest = std::fmax(greatest, std::fabs(difference));
    const double apart = run.state.wheel_speed[3] - run.state.wheel_speed[2];
    ASSERT_GE(apart, -1e-9) << "the slippery wheel is the slower one";
  }
  EXPECT_NEAR(greatest, most, 1e-6 * most);
}

// Open, the drag of the engine spins the slippery wheel down until the other one has no more to hold than it;
// held together, the wheel with grip carries what the slippery one cannot.
TEST(Differential, LetsTheWheelWithGripCarryTheDrag) {
  PlantRun open = coasting(0.05, 0, 0, false), held = coasting(0.05, 2000, 1);
  open.run_for(1);
  held.run_for(1);
  EXPECT_NEAR(held.state.wheel_speed[2], held.state.wheel_speed[3], 1e-9);
  EXPECT_GT(open.seen.brake_slip[2], 0.5);
  EXPECT_LT(held.seen.brake_slip[2], 0.1);
  EXPECT_LT(held.state.speed, open.state.speed - 0.3);
}

TEST(Differential, OneThatLocksNothingIsOpenBitForBit) {
  PlantRun none = coasting(0.05, 0, 0), open = coasting(0.05, 300, 1, false);
  for (int i = 0; i < 2000; ++i) {
    none.step();
    open.step();
    // Bits are what is compared. NOLINTNEXTLINE(bugprone-suspicious-memory-comparison)
    ASSERT_EQ(std::memcmp(&none.state, &open.state, sizeof none.state), 0) << i;
  }
}

TEST(Differential, TheMirroredRoadGivesTheMirroredWheels) {
  PlantRun a = coasting(0.05, 80, 0.3), b = coasting(0.05, 80, 0.3);
  std::swap(b.car.road.friction[0], b.car.road.friction[1]);
  for (int i = 0; i < 2000; ++i) {
    a.step();
    b.step();
    ASSERT_EQ(a.state.speed, b.state.speed) << i;
    for (int w = 0; w < signal::kWheels; ++w)
      ASSERT_EQ(a.state.wheel_speed[w], b.state.wheel_speed[w ^ 1]) << i;
  }
}

}  // namespace
}  // namespace brakeward::reference
