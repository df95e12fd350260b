// Start and restart of the controller: what it does without power, during its self-test and after it.
#define BRAKEWARD_ISA isa_power_test
#include <algorithm>

#include "gtest/gtest.h"
#include "model/control/control.inl.h"
#include "reference/sample_plan.h"

namespace brakeward::control {
namespace {

constexpr double kTick_s = 0.001;
constexpr int kTest = 400, kMovingTest = 50, kReleased = 200, kPlausible = 300;

class PoweredUp : public testing::Test {
 protected:
  replay::ReplayPlan plan = reference::sample_plan();
  ControlState<double> s;
  signal::SensorFrame<double> frame{};
  signal::ControlSignals<double> seen{};
  signal::ActuatorCommand<double> command{};

  void SetUp() override {
    reference::supervise(kTick_s, plan);
    plan.structure.control.powers_up = true;
    plan.params.control.power = {6.5, kTest, kMovingTest, 1, 0};
    start(plan.params.control, 20.0, s);
  }

  // Hand travel in m, pedal force in N.
  void run(int ticks, double supply, double speed, double travel, double force = 0) {
    for (double& w : frame.wheel_speed) w = speed / 0.32;
    frame.hand_volts[0] = 0.5 + 100 * travel;
    frame.hand_volts[1] = 4.5 - 100 * travel;
    frame.pedal_volts = 0.5 + 0.004 * force;
    frame.supply = supply;
    for (int i = 0; i < ticks; ++i)
      command = step_control(plan.params.control, plan.structure.control, frame, s, seen);
  }
  void expect_out(signal::RequestState state) const {
    EXPECT_EQ(seen.state, double(state));
    EXPECT_EQ(seen.demand, 0);
    EXPECT_EQ(command.awake, 0);
    for (const double p : command.pressure) EXPECT_EQ(p, 0);
  }
};

TEST_F(PoweredUp, RunsThroughASupplyAboveItsVoltage) {
  run(1000, 6.6, 20, 0.02);
  EXPECT_EQ(command.awake, 1);
  EXPECT_GT(seen.demand, 20e5);
}

TEST_F(PoweredUp, IsOutAtOnceAndForgetsEverything) {
  run(1000, 12, 20, 0.02);
  run(1, 6.5, 20, 0.02);
  expect_out(signal::kLost);
  run(100, 0, 20, 0.02);
  expect_out(signal::kLost);
}

TEST_F(PoweredUp, TestsItselfAtStandstillAndIsReadyReleasedAndPlausible) {
  run(100, 3, 0, 0);
  run(kTest, 12, 0, 0);
  expect_out(signal::kRearming);
  run(1, 12, 0, 0);
  EXPECT_EQ(command.awake, 1);
  EXPECT_EQ(seen.state, double(signal::kRearming));
  run(std::max(kReleased, kPlausible) - 2, 12, 0, 0);
  EXPECT_EQ(seen.state, double(signal::kRearming));
  run(1, 12, 0, 0);
  EXPECT_EQ(seen.state, double(signal::kReady));
}

// A control that is held through the restart brakes only after it has been let go, and then without a step.
TEST_F(PoweredUp, WhileMovingTheTestIsShortAndAHeldRequestDoesNotComeBack) {
  run(1000, 12, 20, 0.02, 200);
  run(30, 4, 20, 0.02, 200);
  run(kMovingTest, 12, 20, 0.02, 200);
  expect_out(signal::kRearming);
  EXPECT_NEAR(s.slip.reference, 20, 1e-9) << "it knows the wheels' speeds";
  run(2000, 12, 20, 0.02, 200);
  EXPECT_EQ(command.awake, 1);
  EXPECT_EQ(seen.state, double(signal::kRearming));
  EXPECT_EQ(seen.demand, 0);
  run(400, 12, 20, 0);
  EXPECT_EQ(seen.state, double(signal::kReady));
  double before = 0;
  for (int i = 0; i < 500; ++i) {
    run(1, 12, 20, 0.02);
    ASSERT_LE(seen.demand - before, plan.params.control.supervision.rearm_rise_per_tick * (1 + 1e-9));
    before = seen.demand;
  }
  EXPECT_GT(before, 30e5);
}

// The pedal is re-armed by itself: it may brake while the hand control is still held.
TEST_F(PoweredUp, EachRequestIsReArmedByItself) {
  run(30, 4, 20, 0.02);
  run(500, 12, 20, 0.02, 0);
  EXPECT_EQ(seen.demand, 0);
  run(500, 12, 20, 0.02, 300);
  EXPECT_GT(seen.demand, 20e5);
  EXPECT_EQ(seen.state, double(signal::kRearming));
}

// Where the foot pushes by itself no actuator takes the brakes from it before it has let go: its request does
// not count until then.
TEST_F(PoweredUp, AFootThatBrakesByItselfKeepsTheBrakesUntilItLetsGo) {
  plan.params.control.power.foot_pushes = 1;
  run(1000, 12, 20, 0, 200);
  EXPECT_EQ(command.awake, 1) << "nothing of it without a restart";
  run(30, 4, 20, 0, 200);
  run(2000, 12, 20, 0, 200);
  EXPECT_EQ(seen.state, double(signal::kRearming));
  EXPECT_EQ(command.awake, 0);
  run(500, 12, 20, 0.02, 200);
  EXPECT_EQ(seen.demand, 0) << "nor does the hand control, re-armed meanwhile";
  EXPECT_EQ(command.awake, 0);
  run(kReleased - 1, 12, 20, 0.02, 0);
  EXPECT_EQ(command.awake, 0);
  double before = 0;
  for (int i = 0; i < 500; ++i) {
    run(1, 12, 20, 0.02, 0);
    EXPECT_EQ(command.awake, 1);
    ASSERT_LE(seen.demand - before, plan.params.control.supervision.rearm_rise_per_tick * (1 + 1e-9));
    before = seen.demand;
  }
  EXPECT_GT(before, 30e5);
}

TEST_F(PoweredUp, AnotherDipBeginsTheTestAnew) {
  run(10, 3, 0, 0);
  run(kTest - 1, 12, 0, 0);
  run(1, 3, 0, 0);
  expect_out(signal::kLost);
  run(kTest, 12, 0, 0);
  expect_out(signal::kRearming);
  run(1, 12, 0, 0);
  EXPECT_EQ(command.awake, 1);
}

}  // namespace
}  // namespace brakeward::control
