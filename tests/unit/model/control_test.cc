// Slip limiter, demand limits and pressure control, single rules.
#define BRAKEWARD_ISA isa_control_test
#include <algorithm>
#include <cmath>

#include "gtest/gtest.h"
#include "model/control/control.inl.h"
#include "reference/sample_plan.h"

namespace brakeward::control {
namespace {

SlipParams<double> slip_params() {
  SlipParams<double> p{};
  for (int a = 0; a < 2; ++a) {
    p.release_slip[a] = 0.14;
    p.reapply_slip[a] = 0.09;
    p.release_per_tick[a] = 0.01;
    p.reapply_per_tick[a] = 0.002;
    p.least_factor[a] = 0.1;
    p.radius[a] = 0.3;
  }
  p.off_below = 2;
  p.reference_change_per_tick = 0.012;
  return p;
}

// One tick while braking is asked for, with the wheels' circumferential speeds.
void limit(const SlipParams<double>& p, double fl, double fr, double rl, double rr, SlipControl<double>& s) {
  const double speed[] = {fl, fr, rl, rr};
  limit_slip(p, {}, true, 0.0, speed, speed, s);
}

signal::SensorFrame<double> wheels(double fl, double fr, double rl, double rr) {
  signal::SensorFrame<double> f{};
  const double speed[] = {fl, fr, rl, rr};
  for (int w = 0; w < 4; ++w) f.wheel_speed[w] = speed[w] / 0.3;
  return f;
}

TEST(SlipLimiter, FallsWithTheAccelerometerAndAMarginButNoFasterThanAllowed) {
  SlipParams<double> p = slip_params();
  ControlStructure st;
  st.feels_deceleration = true;
  p.tick = 0.001;
  p.reference_margin_per_tick = 0.0005;
  const double locked[signal::kWheels] = {0, 0, 0, 0};
  const auto fall = [&](double felt) {
    SlipControl<double> s;
    start(20.0, s);
    limit_slip(p, st, true, felt, locked, locked, s);
    return 20 - s.reference;
  };
  EXPECT_NEAR(fall(-2.5), 0.0025 + 0.0005, 1e-12);
  EXPECT_NEAR(fall(0.5), 0.0005, 1e-12) << "a car that gains speed";
  EXPECT_NEAR(fall(-40), 0.012, 1e-12) << "what reference_change allows";
}

TEST(SlipLimiter, LeavesAWheelThatGainsSpeedItsShare) {
  SlipParams<double> p = slip_params();
  ControlStructure st;
  st.holds_slipping = true;
  p.hold_above_per_tick = 0.004;
  SlipControl<double> s;
  start(20.0, s);
  const auto at = [&](double front) {
    const double speed[] = {front, front, 20, 20};
    limit_slip(p, st, true, 0.0, speed, speed, s);
    return s.factor[0];
  };
  EXPECT_NEAR(at(15), 0.99, 1e-12);
  EXPECT_NEAR(at(15.003), 0.98, 1e-12);
  EXPECT_NEAR(at(15.008), 0.98, 1e-12) << "it gains more than 4 m/s^2";
  EXPECT_NEAR(at(15.013), 0.98, 1e-12);
  EXPECT_NEAR(at(15.010), 0.97, 1e-12);
  EXPECT_NEAR(at(19.5), 0.972, 1e-12) << "slip is over: re-applied";
}

TEST(SlipLimiter, HasHysteresisBetweenItsThresholds) {
  SlipControl<double> s;
  start(20.0, s);
  const auto p = slip_params();
  const auto at = [&](double slip) { limit(p, 20 * (1 - slip), 20, 20, 20, s); };
  at(0.12);
  EXPECT_EQ(s.releasing[0], 0);
  at(0.15);
  EXPECT_EQ(s.releasing[0], 1);
  EXPECT_EQ(s.factor[1], s.factor[0]);  // one pressure an axle
  EXPECT_EQ(s.releasing[2], 0);
  at(0.12);
  EXPECT_EQ(s.releasing[0], 1);
  EXPECT_NEAR(s.factor[0], 1 - 2 * 0.01, 1e-12);
  at(0.08);
  EXPECT_EQ(s.releasing[0], 0);
  EXPECT_NEAR(s.factor[0], 0.98 + 0.002, 1e-12);
  for (int i = 0; i < 1000; ++i) at(0.5);
  EXPECT_EQ(s.factor[0], 0.1);
  EXPECT_EQ(s.factor[2], 1);
  for (int i = 0; i < 1000; ++i) at(0);
  EXPECT_EQ(s.factor[0], 1);
}

// Neither locking wheels nor one that spins up carry the reference along faster than the car can change
// speed.
TEST(SlipLimiter, TheReferenceChangesNoFasterThanAllowed) {
  SlipControl<double> s;
  start(20.0, s);
  const auto p = slip_params();
  for (int i = 1; i <= 50; ++i) {
    limit(p, 5, 5, 5, 5, s);
    EXPECT_NEAR(s.reference, 20 - 0.012 * i, 1e-12);
  }
  for (int i = 1; i <= 10; ++i) {
    limit(p, 25, 5, 5, 5, s);
    EXPECT_NEAR(s.reference, 20 - 0.012 * (50 - i), 1e-12);
  }
  limit(p, 19.52, 5, 5, 5, s);
  EXPECT_NEAR(s.reference, 19.52, 0.012);
}

TEST(SlipLimiter, IsOffBelowItsSpeed) {
  SlipControl<double> s;
  start(1.9, s);
  s.factor[0] = 0.5;
  s.releasing[0] = 1;
  limit(slip_params(), 0, 0, 1.9, 1.9, s);
  EXPECT_EQ(s.releasing[0], 0);
  EXPECT_NEAR(s.factor[0], 0.502, 1e-12);
}

// A driven wheel that spins makes the others look slow: no reason to take pressure away from them.
TEST(SlipLimiter, ActsOnlyWhileBrakingIsAskedFor) {
  SlipControl<double> s;
  start(20.0, s);
  const double speed[] = {12, 12, 20, 20};
  for (int i = 0; i < 50; ++i) limit_slip(slip_params(), {}, false, 0.0, speed, speed, s);
  EXPECT_EQ(s.factor[0], 1);
  EXPECT_EQ(s.releasing[0], 0);
  limit_slip(slip_params(), {}, true, 0.0, speed, speed, s);
  EXPECT_EQ(s.releasing[0], 1);
  limit_slip(slip_params(), {}, false, 0.0, speed, speed, s);
  EXPECT_EQ(s.releasing[0], 0);
}

ControlParams<double> pressure_params() {
  ControlParams<double> p{};
  p.pressure = {0.5e5, 0.8e5, 90e5, 0.3, 0.003, 8e5, 6e5, 4};
  return p;
}

double limit_demand(const ControlParams<double>& p, double wanted, PressureControl<double>& s) {
  return control::limit_demand(p.pressure, wanted, p.pressure.rise_per_tick, s);
}

signal::ActuatorCommand<double> command_pressure(const ControlParams<double>& p,
                                                 const signal::SensorFrame<double>& frame,
                                                 const Targets<double>& target, PressureControl<double>& s) {
  Supervision<double> unused;
  return control::command_pressure(p, ControlStructure{}, frame, target, unused, s);
}

TEST(Demand, RisesAndFallsWithinItsRatesAndBound) {
  PressureControl<double> s;
  start(s);
  const auto p = pressure_params();
  double before = 0;
  for (int i = 0; i < 400; ++i) {
    const double now = limit_demand(p, i < 200 ? 200e5 : 0.0, s);
    EXPECT_LE(now - before, 0.5e5 + 1e-6);
    EXPECT_GE(now - before, -0.8e5 - 1e-6);
    EXPECT_LE(now, 90e5);
    before = now;
  }
  EXPECT_EQ(before, 0);
}

TEST(PressureControl, PrefillsOnceAtTheOnset) {
  PressureControl<double> s;
  start(s);
  const auto p = pressure_params();
  const Targets<double> target{{0.6e5, 0.6e5}, {1, 1}, {}, {}};
  signal::SensorFrame<double> frame{};
  int filled = 0;
  for (int i = 0; i < 30; ++i) {
    limit_demand(p, 5e5, s);
    const auto out = command_pressure(p, frame, target, s);
    if (out.pressure[0] == 6e5) ++filled;
  }
  EXPECT_EQ(filled, 4);
}

TEST(PressureControl, TheIntegralIsBoundedHeldAndEmptied) {
  PressureControl<double> s;
  start(s);
  auto p = pressure_params();
  p.pressure.prefill_ticks = 0;
  Targets<double> target{{40e5, 40e5}, {1, 1}, {}, {}};
  signal::SensorFrame<double> frame{};
  frame.pressure[0] = 30e5;
  frame.pressure[1] = 40e5;
  auto out = command_pressure(p, frame, target, s);
  EXPECT_NEAR(s.integral[0], 0.003 * 10e5, 1e-9);
  EXPECT_NEAR(out.pressure[0], 40e5 + 0.003 * 10e5 + 0.3 * 10e5, 1e-6);
  EXPECT_EQ(out.pressure[1], 40e5);
  target.factor[0] = 0.9;  // the slip limiter acts: no wind-up
  command_pressure(p, frame, target, s);
  EXPECT_NEAR(s.integral[0], 0.003 * 10e5, 1e-9);
  target.factor[0] = 1;
  for (int i = 0; i < 1000; ++i) command_pressure(p, frame, target, s);
  EXPECT_EQ(s.integral[0], 8e5);
  target.circuit[0] = 0;
  out = command_pressure(p, frame, target, s);
  EXPECT_EQ(s.integral[0], 0);
  EXPECT_EQ(out.pressure[0], 0);
}

// Whatever the share and its trims, the mean of both circuits' targets is the demand while no limiter acts.
TEST(Balance, TheMeanOfBothCircuitsIsTheDemand) {
  const replay::ReplayPlan plan = reference::sample_plan();
  for (double share : {0.0, 0.4, 0.62, 0.9, 1.0}) {
    ControlParams<double> p = plan.params.control;
    p.balance.front_share = share;
    ControlState<double> s;
    start(p, 30.0, s);
    signal::ControlSignals<double> seen{};
    signal::SensorFrame<double> frame = wheels(30, 30, 30, 30);
    frame.hand_volts[0] = 0.5 + 2.5;
    frame.hand_volts[1] = 4.5 - 2.5;
    frame.pedal_volts = 0.5;
    for (int i = 0; i < 500; ++i) {
      step_control(p, plan.structure.control, frame, s, seen);
      ASSERT_NEAR(0.5 * (seen.target[0] + seen.target[1]), seen.demand, 1e-6);
    }
    EXPECT_GT(seen.demand, 20e5);
    EXPECT_NEAR(seen.target[0] / (2 * seen.demand), std::clamp(share, 0.0, 1.0), 0.015);
  }
}

}  // namespace
}  // namespace brakeward::control
