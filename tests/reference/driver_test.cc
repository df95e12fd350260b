// The driver who follows a speed against closed forms: a command that steps reaches the control after the
// reaction time as 1 - exp(-t / lag); and with a car whose deceleration is proportional to effort, both
// together solve v'' = -(v' + k v / T) / lag. References are analytic.
#define BRAKEWARD_ISA isa_driver_test
#include <cmath>

#include "gtest/gtest.h"
#include "math/filter.h"
#include "model/driver/driver.inl.h"

namespace brakeward::driver {
namespace {

constexpr double kTick_s = 0.001;
constexpr double kRounding = 1e-12;

struct Hand {
  FollowParams<double> params{0, 0, 200, math::low_pass_coefficient(0.1, kTick_s), 0.040};
  DriverState<double> state{};
  DriverSample<double> sample{};
  signal::DriverInput<double> out{};
  long tick = 0;

  explicit Hand(double reaction_ticks = 200) {
    params.reaction_ticks = reaction_ticks;
    start(params, state);
    sample.target_speed = -1;
  }
  double step(double planned, double speed) {
    sample.hand_travel = planned;
    out = drive(DriverParams<double>{1, 1}, sample, speed);
    follow(params, tick++, sample, speed, state, out);
    return out.hand_travel;
  }
};

TEST(FollowingDriver, APlannedStepReachesTheControlThroughTheLag) {
  Hand hand;
  for (int i = 1; i <= 1000; ++i) {
    const double expected = 0.020 * (1 - std::exp(-i * kTick_s / 0.1));
    ASSERT_NEAR(hand.step(0.020, 30), expected, kRounding) << i;
  }
  EXPECT_EQ(hand.out.pedal_force, 0);
}

// 2 m/s too fast from the start on, of which 5 mm per m/s are made.
TEST(FollowingDriver, WhatHeSeesReachesTheControlAfterReactionTimeAndLag) {
  Hand hand(150);
  hand.params.correction = 0.005;
  hand.sample.followed_speed = 28;
  for (int i = 1; i <= 1000; ++i) {
    const double t = i * kTick_s, seen = std::max(0.0, t - 0.150);
    const double expected = 0.010 * (1 - std::exp(-t / 0.1)) + 0.010 * (1 - std::exp(-seen / 0.1));
    ASSERT_NEAR(hand.step(0.010, 30), expected, kRounding) << i;
  }
}

TEST(FollowingDriver, ReachesNoFurtherThanHisLimitAndLetsGoThroughTheLag) {
  Hand hand(0);
  hand.params.correction = 1;
  for (int i = 0; i < 2000; ++i) hand.step(0.010, 30);
  EXPECT_NEAR(hand.out.hand_travel, 0.040, 1e-9);  // 20 time constants
  EXPECT_EQ(hand.state.braking, 1);
  for (int i = 1; i <= 300; ++i)
    ASSERT_NEAR(hand.step(0, 30), hand.params.limit * std::exp(-i * kTick_s / 0.1), 1e-9) << i;
  EXPECT_EQ(hand.state.braking, 0);
}

// With no reaction time the loop of correction, lag and a car that loses 500 m/s^2 per m of travel is a
// damped oscillator. Effort holds for a tick of which the car sees the mean, a dead time in the loop of about
// a tick: that is the error, and it falls with the tick.
TEST(FollowingDriver, ClosesTheLoopAsTheDampedOscillatorItIs) {
  const double lag = 0.1, gain = 500, correction = 0.02, first = 2;
  const double stiffness = gain * correction;  // 1/s
  const double a = 1 / (2 * lag), w = std::sqrt(stiffness / lag - a * a);
  for (const double tick_s : {0.001, 0.0005}) {
    Hand hand(0);
    hand.params.response = math::low_pass_coefficient(lag, tick_s);
    hand.params.correction = correction;
    hand.params.limit = 1;
    double error = first, worst = 0, last = 0;
    for (int i = 1; i * tick_s <= 0.15; ++i) {  // while he is too fast: there is no effort below nothing
      const double effort = hand.step(1e-12, error);
      error -= tick_s * gain * 0.5 * (effort + last);
      last = effort;
      const double t = i * tick_s;
      const double expected = first * std::exp(-a * t) * (std::cos(w * t) + a / w * std::sin(w * t));
      worst = std::max(worst, std::fabs(error - expected));
    }
    // A dead time of a tick shifts a slope of at most first x sqrt(stiffness / lag).
    EXPECT_LT(worst, first * std::sqrt(stiffness / lag) * tick_s) << tick_s;
    EXPECT_GT(worst, 0);
  }
}

TEST(FollowingDriver, MovesThePedalInsteadWhereHeBrakesByIt) {
  Hand hand;
  hand.params.by_pedal = 1;
  hand.params.limit = 500;
  hand.sample.pedal_force = 200;
  for (int i = 0; i < 2000; ++i) hand.step(0, 30);
  EXPECT_NEAR(hand.out.pedal_force, 200, 1e-6);
  EXPECT_EQ(hand.out.hand_travel, 0);
}

}  // namespace
}  // namespace brakeward::driver
