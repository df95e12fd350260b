// Checks of pedal, wheel speeds, pressures and supply, single rules.
#define BRAKEWARD_ISA isa_supervision_test
#include <cmath>
#include <cstring>

#include "gtest/gtest.h"
#include "model/control/control.inl.h"
#include "reference/sample_plan.h"

namespace brakeward::control {
namespace {

constexpr int kDebounce = 5, kPlausible = 8, kReleased = 6, kPressureTicks = 20;
constexpr double kNever = 1e15;

// Nothing is checked.
SupervisionParams<double> unchecked() {
  SupervisionParams<double> p{};
  p.request_timeout_ticks = p.wheel_drop_per_tick = p.pressure_error = p.pressure_error_ticks = kNever;
  p.pedal_minimum = p.supply_minimum = -kNever;
  p.pedal_maximum = kNever;
  p.feedback_per_tick = 1 / kNever;
  p.rearm_rise_per_tick = 0.5e5;
  return p;
}

SupervisionParams<double> checked() {
  SupervisionParams<double> p = unchecked();
  p.request_timeout_ticks = 30;
  p.pedal_minimum = 0.25;
  p.pedal_maximum = 4.75;
  p.pedal_released_below = 20;
  p.wheel_drop_per_tick = 1.5;
  p.wheel_share = 0.5;
  p.pressure_error = 15e5;
  p.pressure_error_ticks = kPressureTicks;
  p.feedback_per_tick = 1.0 / kPressureTicks;
  p.supply_minimum = 9;
  p.debounce_ticks = kDebounce;
  p.plausible_ticks = kPlausible;
  p.released_ticks = kReleased;
  p.rearm_rise_per_tick = 0.1e5;
  return p;
}

Supervision<double> fresh() {
  Supervision<double> s;
  start(20.0, s);
  return s;
}

double pedal(double volts, bool silent, Supervision<double>& s) {
  return check_pedal(checked(), volts, 250 * (volts - 0.5), silent, s);
}

TEST(PedalCheck, HoldsThenLeavesOutThenTakesBackOnlyReleasedAndPlausible) {
  Supervision<double> s = fresh();
  EXPECT_EQ(pedal(1.5, false, s), 250);
  for (int i = 0; i < kDebounce; ++i) EXPECT_EQ(pedal(0, false, s), 250);
  EXPECT_EQ(pedal(0, false, s), 0);
  for (int i = 0; i < 50; ++i) EXPECT_EQ(pedal(1.5, false, s), 0);  // pressed
  for (int i = 0; i < kReleased - 1; ++i) pedal(0.5, false, s);
  EXPECT_EQ(s.pedal.out, 1);
  pedal(0.5, false, s);
  EXPECT_EQ(s.pedal.out, 0);
  EXPECT_EQ(pedal(1.5, false, s), 250);
}

TEST(PedalCheck, IsLostAtOnceWithoutMessages) {
  Supervision<double> s = fresh();
  pedal(1.5, false, s);
  EXPECT_EQ(pedal(1.5, true, s), 0);
}

struct Wheels {
  double slow[4], fast[4];
};

Wheels look(double fl, double fr, double rl, double rr, Supervision<double>& s) {
  const double read[] = {fl, fr, rl, rr};
  Wheels out;
  check_wheels(checked(), 20.0, read, s, out.slow, out.fast);
  return out;
}

TEST(WheelCheck, AnImpossibleFallIsHeldThenLeftOut) {
  Supervision<double> s = fresh();
  Wheels seen = look(20, 20, 20, 20, s);
  for (int i = 0; i < kDebounce; ++i) {
    seen = look(20, 0, 20, 20, s);
    EXPECT_EQ(seen.slow[1], 20);
    EXPECT_EQ(seen.fast[1], 20);
  }
  seen = look(20, 0, 20, 20, s);
  EXPECT_GT(seen.slow[1], 1e6);
  EXPECT_EQ(seen.fast[1], 0);
  EXPECT_EQ(seen.slow[0], 20);
  for (int i = 0; i < kPlausible - 1; ++i) look(20, 19, 20, 20, s);
  EXPECT_EQ(s.wheel[1].out, 1);
  seen = look(20, 19, 20, 20, s);
  EXPECT_EQ(seen.slow[1], 19);
  EXPECT_EQ(seen.fast[1], 19);
}

// A wheel that locks within 30 ms, 670 m/s^2, is a locked wheel.
TEST(WheelCheck, AWheelThatLocksIsBelieved) {
  Supervision<double> s = fresh();
  for (int i = 0; i <= 100; ++i) {
    const double locking = std::fmax(0.0, 20 - 20 * i / 30.0);
    EXPECT_EQ(look(locking, 20, 20, 20, s).slow[0], locking);
  }
  EXPECT_EQ(s.wheel[0].out, 0);
}

// A fall as fast, but not far below the others, is no lost sensor.
TEST(WheelCheck, AJumpNearTheOthersIsBelieved) {
  Supervision<double> s = fresh();
  for (int i = 0; i < 50; ++i)
    EXPECT_EQ(look(i % 2 == 0 ? 20 : 17, 20, 20, 20, s).slow[0], i % 2 == 0 ? 20 : 17);
}

TEST(PressureCheck, TheFeedbackFadesAndComesBackWithoutAStep) {
  Supervision<double> s = fresh();
  double before = 1;
  const auto step = [&](double error) {
    const double now = trust(checked(), error, 0, s);
    EXPECT_LE(std::fabs(now - before), 1.0 / kPressureTicks + 1e-12);
    before = now;
    return now;
  };
  for (int i = 0; i < kPressureTicks; ++i) EXPECT_EQ(step(20e5), 1);  // not yet
  for (int i = 0; i < kPressureTicks; ++i) step(20e5);
  EXPECT_NEAR(before, 0, 1e-12);
  for (int i = 0; i < kPlausible - 1; ++i) EXPECT_NEAR(step(3e5), 0, 1e-12);
  for (int i = 0; i < kPressureTicks; ++i) step(-3e5);
  EXPECT_NEAR(before, 1, 1e-12);
}

TEST(PressureCheck, AnErrorThatPassesBelowTheBoundNeverCounts) {
  Supervision<double> s = fresh();
  for (int i = 0; i < 500; ++i) EXPECT_EQ(trust(checked(), i % kPressureTicks == 0 ? 1e5 : 40e5, 0, s), 1);
}

// A controller that does not trust the sensor commands the target itself.
TEST(PressureCheck, LeavesTheFeedForwardAlone) {
  replay::ReplayPlan plan = reference::sample_plan();
  ControlParams<double>& p = plan.params.control;
  p.supervision = checked();
  p.pressure.prefill_ticks = 0;
  ControlStructure st = plan.structure.control;
  st.supervised = true;
  Supervision<double> supervision = fresh();
  PressureControl<double> s;
  start(s);
  signal::SensorFrame<double> frame{};
  frame.pressure[0] = 70e5;  // of 40 bar
  frame.pressure[1] = 30e5;
  const Targets<double> target{{40e5, 30e5}, {1, 1}, {}, {}};
  signal::ActuatorCommand<double> out{};
  for (int i = 0; i < 3 * kPressureTicks; ++i) out = command_pressure(p, st, frame, target, supervision, s);
  EXPECT_EQ(out.pressure[0], 40e5);
  EXPECT_EQ(out.pressure[1], 30e5);
  EXPECT_EQ(supervision.circuit[0].out, 1);
  EXPECT_EQ(supervision.circuit[1].out, 0);
}

TEST(Rearming, TheRiseIsSlowerUntilTheDemandHasCaughtUp) {
  Supervision<double> s = fresh();
  const auto rise = [&](double out, double wanted, double demand) {
    return rise_limit(checked(), 0.5e5, out, wanted, demand, s);
  };
  EXPECT_EQ(rise(0, 30e5, 0), 0.5e5);
  EXPECT_EQ(rise(2, 0, 0), 0.5e5);
  EXPECT_EQ(rise(0, 0, 0), 0.1e5);
  EXPECT_EQ(rise(0, 0, 0), 0.1e5);
  EXPECT_EQ(rise(0, 30e5, 10e5), 0.1e5);
  EXPECT_EQ(rise(0, 30e5, 30e5), 0.5e5);
  EXPECT_EQ(rise(0, 60e5, 30e5), 0.5e5);
}

TEST(Shown, LimitedForWhatIsLeftOutUnlessTheHandSaysMore) {
  Supervision<double> s = fresh();
  const auto shown = [&](double supply, double hand) { return shown_state(checked(), supply, hand, s); };
  EXPECT_EQ(shown(12, signal::kReady), signal::kReady);
  for (int i = 0; i < kDebounce; ++i) EXPECT_EQ(shown(8, signal::kReady), signal::kReady);
  EXPECT_EQ(shown(8, signal::kReady), signal::kLimited);
  EXPECT_EQ(shown(8, signal::kLost), signal::kLost);
  for (int i = 0; i < kPlausible; ++i) shown(12, signal::kReady);
  EXPECT_EQ(shown(12, signal::kReady), signal::kReady);
  s.wheel[2].out = 1;
  EXPECT_EQ(shown(12, signal::kReady), signal::kLimited);
  s.wheel[2].out = 0;
  s.circuit[1].out = 1;
  EXPECT_EQ(shown(12, signal::kReady), signal::kLimited);
  s.circuit[1].out = 0;
  s.pedal.out = 1;
  s.pedal.good_ticks = 0;
  EXPECT_EQ(shown(12, signal::kReady), signal::kLimited);
  s.pedal.good_ticks = 3;
  EXPECT_EQ(shown(12, signal::kReady), signal::kRearming);
}

// Checks that are not made change no bit, so that a field left unset means what it did before there was one.
TEST(Supervision, WithoutBoundsChangesNoBit) {
  replay::ReplayPlan plan = reference::sample_plan();
  plan.params.control.supervision = unchecked();
  plan.params.control.supervision.rearm_rise_per_tick = plan.params.control.pressure.rise_per_tick;
  ControlStructure with = plan.structure.control;
  with.supervised = true;
  ControlState<double> plain, supervised;
  start(plan.params.control, 30.0, plain);
  start(plan.params.control, 30.0, supervised);
  for (int i = 0; i < 4000; ++i) {
    signal::SensorFrame<double> frame{};
    const double travel = i % 1500 > 300 ? 0.03 * std::fabs(std::sin(0.01 * i)) : 0;
    frame.hand_volts[0] = i % 900 > 700 ? 0.0 : 0.5 + 100 * travel;
    frame.hand_volts[1] = 4.5 - 100 * travel;
    frame.pedal_volts = i % 2000 > 1800 ? 5 : 0.5;
    for (double& speed : frame.wheel_speed) speed = i % 700 > 650 ? 0 : 90 - 0.02 * i;
    for (double& pressure : frame.pressure) pressure = 1e5 * (i % 60);
    frame.supply = i % 1000 > 800 ? 3 : 12;
    frame.request_age = i % 100;
    signal::ControlSignals<double> a{}, b{};
    const auto first = step_control(plan.params.control, plan.structure.control, frame, plain, a);
    const auto second = step_control(plan.params.control, with, frame, supervised, b);
    for (int c = 0; c < 2; ++c) ASSERT_EQ(first.pressure[c], second.pressure[c]) << i;
    // Bits are what is compared. NOLINTNEXTLINE(bugprone-suspicious-memory-comparison)
    ASSERT_EQ(std::memcmp(&a, &b, sizeof a), 0) << i;
  }
}

}  // namespace
}  // namespace brakeward::control
