// The bite, the marker, the launch and braking with motors from signals fed tick by tick, against what is
// worked out by hand.
#define BRAKEWARD_ISA isa_launch_folds_test
#include <cmath>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "reference/fold_feed.h"

namespace brakeward::measure {
namespace {

using reference::FoldFeed;
using State = MeasureValue::State;

TEST(BiteFolds, TheMarkerIsPassedAtTheSpeedInBetween) {
  FoldFeed f(20, 0.1);
  f.feed_motion(20, 2);
  EXPECT_EQ(f.measure_named("marker_speed").state, State::kNotApplicable);
  f.context.marker_m = f.params.marker_distance = 5;
  EXPECT_EQ(f.measure_named("marker_speed").state, State::kNeverReached);
  f.feed_motion(18, 4);
  f.feed_motion(15, 6);
  f.feed_motion(12, 7);
  EXPECT_NEAR(f.value("marker_speed"), 16.5, 1e-12);
}

TEST(BiteFolds, ACarThatStandsBeforeTheMarkerPassesItAtNoSpeed) {
  FoldFeed f(2, 0.1);
  f.context.marker_m = f.params.marker_distance = 50;
  f.feed_motion(1, 1);
  f.feed_motion(0.01, 1.05);
  EXPECT_EQ(f.value("marker_speed"), 0);
}

TEST(BiteFolds, DecelerationBeginsHalfAMetrePerSecondSquaredAboveThatAtOnset) {
  FoldFeed f(20, 0.01);
  f.params.onset_tick = 1;
  f.context.rise_s[0] = 0.01;
  f.plant.speed = 20;
  for (const double deceleration : {0.4, 0.4, 0.7, 1.1, 3.0}) {
    f.plant.deceleration = deceleration;
    f.feed();
  }
  // 0.9 m/s^2 lies half way between ticks 3 and 4.
  EXPECT_NEAR(f.value("delay_first_deceleration"), 35 - 10, 1e-9);
}

// A first-order low-pass follows a ramp with the ramp's own slope in the end.
TEST(BiteFolds, TheJerkOfARampIsItsSlope) {
  FoldFeed f(30, 0.001);
  f.params.jerk_share = 1 - std::exp(-2 * 3.14159265358979 * 10 * 0.001);
  f.plant.speed = 30;
  for (int i = 0; i < 500; ++i) {
    f.plant.deceleration = 12.0 * 0.001 * i;
    f.feed();
  }
  EXPECT_NEAR(f.value("peak_jerk"), 12, 1e-6);
  f.plant.speed = 1.9;
  f.plant.deceleration = 0;
  f.feed();
  EXPECT_NEAR(f.value("peak_jerk"), 12, 1e-6);
}

TEST(ResponseFolds, PressureSettlesWhenItStaysNearItsTarget) {
  FoldFeed f(30, 0.01);
  f.plant.speed = 30;
  const double level[] = {1e5, 5e5, 31.5e5, 45e5};
  for (int i = 0; i < 4; ++i) f.params.pressure_level[i] = f.context.level_pa[i] = level[i];
  for (double& rise : f.context.rise_s) rise = 0;
  f.reference.front_demand = 50e5;
  f.control.target[signal::kFront] = 48e5;
  for (const double bar : {10.0, 30.0, 56.0, 50.0, 42.9, 47.0, 48.0}) {
    f.plant.pressure[signal::kFront] = bar * 1e5;
    f.feed();
  }
  EXPECT_NEAR(f.value("settling_time"), 50, 1e-9);  // 42.9 bar, tick 5, is 5.1 bar off; 5 are allowed
  EXPECT_NEAR(f.value("peak_tracking_error"), 40, 1e-9);
  // 5 bar before the first tick, 45 bar 0.25 and 0.5769 of a tick after ticks 0 and 2.
  EXPECT_NEAR(f.value("rise_rate"), 40 / (0.01 * (2 + 15.0 / 26 - 0.5)), 1e-9);
  f.reference.front_demand = 44e5;  // below 90 % nothing has to settle
  f.plant.pressure[signal::kFront] = 20e5;
  f.feed();
  EXPECT_NEAR(f.value("settling_time"), 50, 1e-9);
  f.reference.front_demand = 50e5;
  f.control.slip_factor[1] = 0.5;  // nor while the slip limiter takes pressure away
  f.feed();
  EXPECT_NEAR(f.value("settling_time"), 50, 1e-9);
}

TEST(LaunchFolds, TimeTheReleaseAndTheWorkOfBrakesThatDrag) {
  FoldFeed f(1, 0.01);
  f.context.holds = true;
  f.reference.traction = 500;  // before it has stood a car is not launched
  f.plant.pressure[0] = f.plant.pressure[1] = 20e5;
  f.feed_motion(0.5, 1);
  f.reference.traction = 0;
  f.feed_motion(0.02, 1.1);  // tick 2
  f.feed_motion(0, 1.1);
  EXPECT_EQ(f.measure_named("launch_release_time").state, State::kNotApplicable);
  f.reference.traction = 900;
  for (double& torque : f.plant.brake_torque) torque = 50;
  for (double& speed : f.plant.wheel_speed) speed = 2;
  f.feed_motion(0.1, 1.1);  // tick 4
  EXPECT_EQ(f.measure_named("launch_release_time").state, State::kNeverReached);
  f.plant.pressure[0] = 0.5e5;
  f.feed_motion(0.2, 1.1);
  f.plant.pressure[1] = 0.5e5;
  for (double& torque : f.plant.brake_torque) torque = 0;
  f.feed_motion(0.4, 1.11);
  EXPECT_NEAR(f.value("launch_release_time"), 20, 1e-9);
  EXPECT_NEAR(f.value("launch_drag_work"), 2 * 0.01 * 4 * 50 * 2 / 1e3, 1e-12);
}

// 30 bar and 200 N m of a motor whose axle's brakes make 20 N m/bar are 40 bar together.
TEST(BlendFolds, FrictionAndMotorTogetherAreHeldAgainstTheTarget) {
  FoldFeed f(20, 0.01);
  f.plant.speed = 20;
  f.params.pressure_per_torque[signal::kRear] = 1e5 / 20;
  f.reference.front_demand = 40e5;
  f.plant.pressure[signal::kRear] = 30e5;
  f.plant.motor_torque[signal::kRear] = -200;
  f.control.target[signal::kRear] = 43e5;
  f.plant.energy_recovered = 2500;
  f.feed();
  EXPECT_EQ(f.measure_named("blend_error").state, State::kNotApplicable);
  EXPECT_EQ(f.measure_named("energy_recovered").state, State::kNotApplicable);
  f.context.motors = true;
  f.feed();
  f.reference.front_demand = 0;
  f.feed();
  EXPECT_NEAR(f.value("blend_error"), 3 / std::sqrt(2.0), 1e-9);
  EXPECT_EQ(f.value("energy_recovered"), 2.5);
}

}  // namespace
}  // namespace brakeward::measure
