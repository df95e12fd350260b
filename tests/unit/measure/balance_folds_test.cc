// Balance, lock order and grip from signals fed tick by tick, against what is worked out by hand.
#define BRAKEWARD_ISA isa_balance_folds_test
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "reference/fold_feed.h"

namespace brakeward::measure {
namespace {

using reference::FoldFeed;
using State = MeasureValue::State;

// A car at 20 m/s whose front circuit reaches the reference's peak of 50 bar.
FoldFeed braking() {
  FoldFeed f(20, 0.01);
  const double level[] = {1e5, 5e5, 31.5e5, 45e5};
  std::copy(level, level + 4, f.params.pressure_level);
  f.plant.speed = 20;
  f.plant.pressure[signal::kFront] = 50e5;
  f.reference.front_demand = 50e5;
  for (double& load : f.plant.wheel_load) load = 2500;
  return f;
}

void set_torques(double front, double rear, FoldFeed& f) {
  f.plant.brake_torque[0] = f.plant.brake_torque[1] = front / 2;
  f.plant.brake_torque[2] = f.plant.brake_torque[3] = rear / 2;
}

TEST(BalanceFolds, ReadTheShareAtTheGreatestTorqueAndItsSpread) {
  FoldFeed f = braking();
  set_torques(600, 400, f);
  f.feed();
  set_torques(1500, 500, f);
  f.feed();
  set_torques(700, 300, f);
  f.feed();
  EXPECT_NEAR(f.value("front_share_at_peak"), 75, 1e-12);
  EXPECT_NEAR(f.value("front_share_spread"), 15, 1e-12);
  f.plant.pressure[signal::kFront] = 24.9e5;  // below half of the peak nothing counts
  set_torques(100, 900, f);
  f.feed();
  EXPECT_NEAR(f.value("front_share_spread"), 15, 1e-12);
}

// Axle loads of a car of 1000 kg, 2.5 m wheelbase, centre of gravity 0.5 m high and half way, at z = 0.5: W/2
// +- W z h / L, that is 60 % at the front (textbook; UN R13-H Annex 5, 3.1.1, from memory).
TEST(BalanceFolds, TheIdealDistributionIsThatOfTheLoads) {
  constexpr double kWeight = 9806.65;
  for (const double share : {0.60, 0.66, 0.54}) {
    FoldFeed f = braking();
    for (int w = 0; w < 4; ++w) f.plant.wheel_load[w] = kWeight / 2 * (w < 2 ? 0.6 : 0.4);
    set_torques(share * 1000, (1 - share) * 1000, f);
    for (int i = 0; i < 5; ++i) f.feed();
    EXPECT_NEAR(f.value("front_share_over_ideal"), (share - 0.60) * 100, 1e-9);
  }
}

TEST(BalanceFolds, ForceIsTorqueOverRollingRadius) {
  FoldFeed f = braking();
  f.params.rolling_radius[signal::kRear] = 0.45;  // half as large again as in front
  set_torques(500, 500, f);
  f.feed();
  EXPECT_NEAR(f.value("front_share_over_ideal"), 60 - 50, 1e-9);
  EXPECT_NEAR(f.value("front_share_at_peak"), 50, 1e-12);
}

TEST(BalanceFolds, WithoutBrakingThereIsNoShare) {
  FoldFeed f = braking();
  f.feed();
  for (const char* name : {"front_share_at_peak", "front_share_spread", "front_share_over_ideal"})
    EXPECT_EQ(f.measure_named(name).state, State::kNotApplicable) << name;
}

TEST(BalanceFolds, TellWhichAxleLocksFirstAndHowHardTheCarBrakesThen) {
  FoldFeed f = braking();
  f.plant.deceleration = 7;
  f.feed();
  EXPECT_EQ(f.value("first_lock_deceleration"), 7);
  EXPECT_EQ(f.value("rear_lock_lead"), 0);
  f.plant.wheel_speed[3] = 0;  // tick 2
  f.plant.deceleration = 8;
  f.feed();
  f.plant.deceleration = 9;
  for (int i = 0; i < 4; ++i) f.feed();
  EXPECT_NEAR(f.value("rear_lock_lead"), 40, 1e-12);  // the front wheels have not locked so far
  f.plant.wheel_speed[0] = 0;                         // tick 7
  for (int i = 0; i < 9; ++i) f.feed();
  EXPECT_NEAR(f.value("rear_lock_lead"), 50, 1e-12);
  EXPECT_EQ(f.value("first_lock_deceleration"), 8);
}

TEST(BalanceFolds, FrontWheelsFirstIsNoLead) {
  FoldFeed f = braking();
  f.plant.wheel_speed[0] = 0;
  f.feed();
  f.plant.wheel_speed[2] = 0;
  f.feed();
  EXPECT_EQ(f.value("rear_lock_lead"), 0);
}

TEST(GripFolds, UtilizationIsForceOverGripWhileTheLimiterActs) {
  FoldFeed f = braking();
  f.plant.grip = 10000;
  for (double& force : f.plant.contact_force) force = -1000;
  f.feed();
  EXPECT_EQ(f.measure_named("adhesion_utilization").state, State::kNotApplicable);
  f.control.slip_factor[0] = 0.8;
  f.feed();
  for (double& force : f.plant.contact_force) force = -2000;
  f.feed();
  f.plant.speed = 4;  // below 15 km/h
  f.feed();
  EXPECT_NEAR(f.value("adhesion_utilization"), 60, 1e-12);
}

TEST(GripFolds, CountTheTimeBeyondThePeakAndKeepTheGreatestMoments) {
  FoldFeed f = braking();
  f.plant.beyond_peak = 1;
  f.plant.lateral_unmet = -300;
  f.plant.yaw_unmet = 120;
  for (int i = 0; i < 3; ++i) f.feed();
  f.plant.speed = 1.9;
  f.plant.lateral_unmet = 200;
  f.plant.yaw_unmet = -450;
  f.feed();
  EXPECT_NEAR(f.value("time_beyond_peak"), 30, 1e-12);
  EXPECT_EQ(f.measure_named("unmet_lateral_force").state, State::kNotApplicable);
  EXPECT_EQ(f.measure_named("yaw_moment").state, State::kNotApplicable);
  f.context.bends = f.context.uneven = true;
  EXPECT_EQ(f.value("unmet_lateral_force"), 300);
  EXPECT_THAT(std::string(f.measure_named("yaw_moment").reason), testing::HasSubstr("track widths"));
  f.context.has_track = true;
  EXPECT_EQ(f.value("yaw_moment"), 450);
}

}  // namespace
}  // namespace brakeward::measure
