// Braking with motors, single rules.
#define BRAKEWARD_ISA isa_blend_test
#include <cmath>

#include "gtest/gtest.h"
#include "model/control/blend.inl.h"

namespace brakeward::control {
namespace {

// 800 N m in front, no motor at the rear; full above 4 m/s, nothing below 2; 10 N m a tick.
BlendParams<double> params() {
  return {{800, 0}, {6e-4, 3e-4}, 2, 0.5, 10};
}

TEST(Blending, AMotorFollowsItsLimitAtTheSlewLimit) {
  BlendControl<double> s;
  start(s);
  for (int i = 1; i <= 200; ++i)
    EXPECT_NEAR(ask_motor(params(), 3000.0, 20.0, false, 0, s), std::fmin(800, 10.0 * i), 1e-9);
  for (int i = 1; i <= 100; ++i)
    EXPECT_NEAR(ask_motor(params(), 3000.0, 20.0, true, 0, s), std::fmax(0, 800 - 10.0 * i), 1e-9)
        << "the slip limiter acts";
}

TEST(Blending, TakesNoMoreThanTheAxlesDemandHoweverFastThatFalls) {
  BlendControl<double> s;
  start(s);
  for (int i = 0; i < 200; ++i) ask_motor(params(), 3000.0, 20.0, false, 0, s);
  EXPECT_EQ(ask_motor(params(), 120.0, 20.0, false, 0, s), 120);
  EXPECT_EQ(ask_motor(params(), 0.0, 20.0, false, 0, s), 0);
}

TEST(Blending, FadesOutTowardsStandstill) {
  for (const double speed : {0.0, 1.0, 2.0, 2.5, 3.0, 4.0, 9.0}) {
    BlendControl<double> s;
    start(s);
    double asked = 0;
    for (int i = 0; i < 200; ++i) asked = ask_motor(params(), 3000.0, speed, false, 0, s);
    EXPECT_NEAR(asked, 800 * std::fmin(1, std::fmax(0, 0.5 * (speed - 2))), 1e-9) << speed;
  }
}

// Pressure is given up for what the motor does, not for what it was asked.
TEST(Blending, FrictionGivesTheRest) {
  EXPECT_NEAR(left_to_friction(params(), 40e5, 0.0, 0), 40e5, 1e-6);
  EXPECT_NEAR(left_to_friction(params(), 40e5, 600.0, 0), 40e5 - 600 / 6e-4, 1e-6);
  EXPECT_EQ(left_to_friction(params(), 4e5, 600.0, 0), 0);
  EXPECT_EQ(left_to_friction(params(), 40e5, 600.0, 1), 40e5) << "an axle that does not blend";
}

}  // namespace
}  // namespace brakeward::control
