// What the folds keep of signals fed tick by tick.
#define BRAKEWARD_ISA isa_folds_test
#include <cmath>
#include <limits>

#include "gtest/gtest.h"
#include "reference/fold_feed.h"

namespace brakeward::measure {
namespace {

using reference::FoldFeed;

FoldFeed feed_at(double speed) {
  FoldFeed f(speed, 0.001);
  f.plant.speed = speed;
  return f;
}

TEST(Folds, KeepTheFirstRiseAndTheLastFall) {
  FoldFeed f = feed_at(20);
  const double level[] = {1e5, 2e5, 10e5, 15e5};
  std::copy(level, level + 4, f.params.pressure_level);
  for (double bar : {0.0, 1.5, 3.0, 11.0, 3.0, 1.0, 4.0, 12.0, 1.5, 0.0}) {
    f.plant.pressure[0] = bar * 1e5;
    f.feed();
  }
  EXPECT_EQ(f.folds.pressure_rise[0].tick, 2);
  EXPECT_EQ(f.folds.pressure_rise[0].before, 0);
  EXPECT_EQ(f.folds.pressure_rise[0].after, 1.5e5);
  EXPECT_EQ(f.folds.pressure_rise[1].tick, 3);
  EXPECT_EQ(f.folds.pressure_rise[2].tick, 4);
  EXPECT_LT(f.folds.pressure_rise[3].tick, 0);
  EXPECT_EQ(f.folds.pressure_fall.tick, 9);
  EXPECT_EQ(f.folds.pressure_fall.before, 12e5);
  EXPECT_EQ(f.folds.peak_pressure, 12e5);
}

TEST(Folds, CountNothingOfAStopBeforeItsOnset) {
  FoldFeed f = feed_at(20);
  f.params.onset_tick = 3;
  f.params.pressure_level[0] = 1e5;
  f.plant.pressure[0] = 5e5;
  f.plant.deceleration = 4;
  for (double speed : {20.0, 19.9, 19.8}) {
    f.plant.speed = speed;
    f.plant.distance += 0.02;
    f.feed();
  }
  EXPECT_LT(f.folds.pressure_rise[0].tick, 0);
  EXPECT_EQ(f.folds.onset_speed, 19.8);
  EXPECT_NEAR(f.folds.onset_distance, 0.06, 1e-15);
  EXPECT_LT(f.folds.peak_deceleration, 0);
  f.feed();
  EXPECT_EQ(f.folds.onset_speed, 19.8);
  EXPECT_EQ(f.folds.pressure_rise[0].tick, 4);
  EXPECT_EQ(f.folds.peak_deceleration, 4);
}

// Halted at 1.000 m, it rocks, rolls back and is then driven on.
TEST(Folds, MeasureTheWayFromWhereTheCarFirstStood) {
  FoldFeed f(1, 0.1);
  f.context.ends_standing = false;
  f.feed_motion(1, 0.95);
  EXPECT_EQ(f.measure_named("roll_away_distance").state, MeasureValue::State::kNotApplicable);
  f.context.holds = true;
  EXPECT_EQ(f.measure_named("roll_away_distance").state, MeasureValue::State::kNeverReached);
  f.feed_motion(0.04, 1.0);
  EXPECT_EQ(f.value("roll_away_distance"), 0);
  f.feed_motion(-0.2, 1.01);
  EXPECT_NEAR(f.value("roll_away_distance"), 0.01, 1e-12);
  f.feed_motion(-0.5, 0.4);
  f.feed_motion(-0.1, 0.3);
  EXPECT_NEAR(f.value("roll_away_distance"), 0.7, 1e-12);
  f.reference.traction = 2000;
  f.feed_motion(5, 20);
  EXPECT_NEAR(f.value("roll_away_distance"), 0.7, 1e-12);
}

// A fault from tick 3 on, at a tick of 0.1 s: the settling time of 0.5 s is five ticks.
FoldFeed feed_with_fault(double end_tick) {
  FoldFeed f(20, 0.1);
  f.plant.speed = 20;
  f.params.fault_start_tick = 3;
  f.params.fault_end_tick = end_tick;
  f.context.has_fault = true;
  return f;
}

TEST(Folds, KeepTheLongestTimeWithoutBrakesSinceTheFaultBegan) {
  FoldFeed f = feed_with_fault(5);
  f.reference.front_demand = 20e5;
  for (int i = 0; i < 6; ++i) f.feed();   // ticks 3 to 6 count, also beyond the fault's end
  f.plant.pressure[signal::kRear] = 2e5;  // a tenth, on either axle, is braking
  f.feed();
  f.plant.pressure[signal::kRear] = 1.99e5;
  for (int i = 0; i < 3; ++i) f.feed();
  EXPECT_EQ(f.folds.longest_unbraked_ticks, 4);
  EXPECT_NEAR(f.value("fault_unbraked_time"), 400, 1e-9);
  for (int i = 0; i < 2; ++i) f.feed();
  EXPECT_EQ(f.folds.longest_unbraked_ticks, 5);
  f.reference.front_demand = 0.9e5;  // the driver asks for nothing
  for (int i = 0; i < 9; ++i) f.feed();
  EXPECT_EQ(f.folds.longest_unbraked_ticks, 5);
}

TEST(Folds, KeepTheLongestBrakingThatNobodyAskedFor) {
  FoldFeed f = feed_with_fault(100);
  f.plant.pressure[signal::kFront] = 30e5;
  f.plant.deceleration = 5;
  f.reference.front_demand = 30e5;
  for (int i = 0; i < 4; ++i) f.feed();
  f.reference.front_demand = 0;
  for (int i = 0; i < 5; ++i) f.feed();
  EXPECT_EQ(f.folds.longest_unrequested_ticks, 0) << "0.5 s to let go";
  f.plant.deceleration = 3;
  for (int i = 0; i < 3; ++i) f.feed();
  f.plant.pressure[signal::kFront] = 1e5;  // 1 bar is none
  f.plant.deceleration = 9;
  f.feed();
  EXPECT_NEAR(f.value("fault_unrequested_time"), 300, 1e-9);
  EXPECT_EQ(f.value("fault_unrequested_deceleration"), 3);
}

TEST(Folds, KeepWhatTheBrakesTakeUpWhenTheRequestComesBack) {
  FoldFeed f = feed_with_fault(4);
  f.reference.front_demand = 12e5;
  f.control.state = signal::kLost;
  for (int i = 0; i < 5; ++i) f.feed();
  f.control.state = signal::kReady;
  f.control.target[signal::kFront] = 2e5;
  f.feed();
  f.control.target[signal::kFront] = 0;  // later ticks tell nothing of the moment of return
  f.feed();
  EXPECT_NEAR(f.value("fault_return_jump"), 10, 1e-9);
  EXPECT_NEAR(f.value("fault_detection_time"), 300, 1e-9)
      << "tick 3, counted from the time 0 of this context";
}

// 0.2 s after the start of the fault are two ticks; 0.3 s of braking from there on are enough to tell.
TEST(Folds, KeepTheDecelerationThatIsLeftWhileTheFaultLasts) {
  FoldFeed f = feed_with_fault(9);
  f.reference.front_demand = 12e5;
  for (double deceleration : {8.0, 8.0, 8.0, 8.0, 3.0, 4.0}) {
    f.plant.deceleration = deceleration;
    f.feed();
  }
  EXPECT_EQ(f.measure_named("fault_hand_deceleration").state, MeasureValue::State::kNotApplicable);
  f.plant.deceleration = 2;
  f.feed();
  EXPECT_EQ(f.value("fault_hand_deceleration"), 4);
  EXPECT_EQ(f.measure_named("fault_pedal_deceleration").state, MeasureValue::State::kNotApplicable);
  f.plant.deceleration = 7;
  f.feed();
  f.feed();  // the fault is over
  f.plant.deceleration = 9;
  f.feed();
  f.context.by_pedal = true;
  EXPECT_EQ(f.value("fault_pedal_deceleration"), 7);
}

TEST(Folds, KnowNothingOfAFaultWithoutOne) {
  FoldFeed f = feed_at(20);
  f.reference.front_demand = 20e5;
  for (int i = 0; i < 9; ++i) f.feed();
  EXPECT_EQ(f.folds.longest_unbraked_ticks, 0);
  EXPECT_EQ(f.measure_named("fault_unbraked_time").state, MeasureValue::State::kNotApplicable);
}

// UN R13-H lets wheels lock below 15 km/h; slip is judged above 2 m/s.
TEST(Folds, JudgeSlipAndLockingAboveTheirSpeeds) {
  FoldFeed f = feed_at(10);
  f.plant.wheel_speed[1] = 0.05 * 10 / 0.3 * 0.99;  // one wheel of the front axle, just locked
  f.plant.brake_slip[1] = 0.96;
  f.plant.brake_slip[2] = 0.10;
  f.feed();
  EXPECT_EQ(f.folds.locked_ticks[0], 1);
  EXPECT_EQ(f.folds.locked_ticks[1], 0);
  EXPECT_EQ(f.folds.peak_slip[0], 0.96);
  EXPECT_EQ(f.folds.peak_slip[1], 0.10);
  f.plant.speed = 15 / 3.6;
  f.plant.wheel_speed[1] = 0;
  f.feed();
  EXPECT_EQ(f.folds.locked_ticks[0], 1);
  f.plant.speed = 2;
  f.plant.brake_slip[1] = 1;
  f.feed();
  EXPECT_EQ(f.folds.peak_slip[0], 0.96);
}

TEST(Folds, PressureCountsAsUnrequestedOnlyAfterItsTimeToFall) {
  FoldFeed f = feed_at(20);
  f.plant.pressure[0] = 8e5;
  f.reference.front_demand = 20e5;
  for (int i = 0; i < 10; ++i) f.feed();
  f.reference.front_demand = 0;
  for (int i = 0; i < 500; ++i) f.feed();
  EXPECT_EQ(f.folds.unrequested_pressure, 0);
  f.feed();
  EXPECT_EQ(f.folds.unrequested_pressure, 8e5);
  EXPECT_EQ(f.folds.braking_ticks, 10);
  EXPECT_EQ(f.folds.tracking_square, 10 * 12e5 * 12e5);
}

TEST(Folds, DetectAndRecoverOncePerFault) {
  FoldFeed f = feed_at(20);
  f.params.fault_start_tick = 10;
  f.params.fault_end_tick = 30;
  for (int tick = 1; tick <= 60; ++tick) {
    f.control.state = tick == 5 || (tick >= 14 && tick < 41) || tick > 55 ? double(signal::kLimited) : 0;
    f.feed();
  }
  EXPECT_EQ(f.folds.detection_tick, 14);  // not the one before the fault
  EXPECT_EQ(f.folds.recovery_tick, 41);
}

TEST(Folds, CompareWithTheRecordingWhereThereIsOne) {
  FoldFeed f = feed_at(20);
  f.plant.deceleration = 6;
  f.plant.pressure[0] = 30e5;
  f.feed();
  EXPECT_EQ(f.folds.compared_ticks, 0);
  f.reference.recorded_deceleration = 5;
  f.feed();
  EXPECT_EQ(f.folds.compared_ticks, 1);
  EXPECT_EQ(f.folds.deceleration_square, 1);
  EXPECT_EQ(f.folds.pressure_compared_ticks, 0);
  f.reference.recorded_pressure = 28e5;
  f.feed();
  EXPECT_EQ(f.folds.pressure_compared_ticks, 1);
  EXPECT_EQ(f.folds.pressure_square, 2e5 * 2e5);
  f.plant.speed = 0.9;
  f.feed();
  EXPECT_EQ(f.folds.compared_ticks, 2);
}

TEST(Folds, AddUpWhileTheDriverBrakes) {
  FoldFeed f = feed_at(20);
  f.reference.front_demand = 20e5;
  for (int i = 1; i <= 5; ++i) f.feed_motion(20 - 0.01 * i, 0.02 * i);
  f.reference.front_demand = 0;
  for (int i = 6; i <= 9; ++i) f.feed_motion(20 - 0.01 * i, 0.02 * i);
  EXPECT_NEAR(f.folds.braking_distance, 0.10, 1e-12);
  EXPECT_NEAR(f.folds.braking_speed_loss, 0.05, 1e-12);
}

TEST(Folds, NoticeAnythingThatIsNotFinite) {
  for (double bad : {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
    for (int field = 0; field < 5; ++field) {
      FoldFeed f = feed_at(20);
      f.feed();
      EXPECT_EQ(f.folds.sound, 1);
      double* fields[] = {&f.plant.speed, &f.plant.distance, &f.plant.disc[2], &f.plant.pressure[1],
                          &f.plant.brake_slip[3]};
      *fields[field] = bad;
      f.feed();
      EXPECT_EQ(f.folds.sound, 0) << field;
      *fields[field] = 1;
      f.feed();
      EXPECT_EQ(f.folds.sound, 0) << "once unsound, always unsound";
    }
  }
}

}  // namespace
}  // namespace brakeward::measure
