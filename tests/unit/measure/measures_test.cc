// Measures from folds made by hand: each one, its interpolation, and what it says when it cannot be made.
#include "measure/measures.h"

#include <cmath>
#include <set>
#include <string>

#include "gmock/gmock.h"
#include "gtest/gtest.h"

namespace brakeward::measure {
namespace {

using State = MeasureValue::State;

// A stop from 30 m/s, onset at 0.5 s after 15 m, 10 ms ticks; front pressure to 50 bar.
struct Sample {
  Folds<double> folds{};
  MeasureContext context{};

  Sample() {
    context.tick_s = 0.01;
    context.onset_s = 0.5;
    context.nominal_speed_mps = 100 / 3.6;
    folds.onset_speed = 30;
    folds.onset_distance = 15;
    folds.speed[0] = {120, 24.2, 23.8};
    folds.speed_distance_before[0] = 33.0;
    folds.speed_distance_after[0] = 33.4;
    folds.speed[1] = {340, 3.03, 2.98};
    folds.speed_distance_before[1] = 68.00;
    folds.speed_distance_after[1] = 68.05;
    folds.speed[2] = {371, 0.06, 0.02};
    folds.speed_distance_before[2] = 68.40;
    folds.speed_distance_after[2] = 68.44;
    const double level[] = {1e5, 5e5, 31.5e5, 45e5};
    for (int i = 0; i < 4; ++i) {
      context.level_pa[i] = level[i];
      context.rise_s[i] = 0.50 + 0.02 * i;
      folds.pressure_rise[i] = {55.0 + 4 * i, level[i] - 1e4, level[i] + 3e4};
    }
    context.fall_s = 3.0;
    folds.pressure_fall = {309, 8e5, 4e5};
    folds.peak_pressure = 51e5;
    folds.peak_target = 50e5;
    folds.unrequested_pressure = 0.4e5;
    folds.peak_deceleration = 9.7;
    folds.front_torque = 700;
    folds.all_torque = 1000;
    folds.peak_slip[0] = 0.123;
    folds.peak_slip[1] = 0.045;
    folds.locked_ticks[0] = 7;
    folds.locked_ticks[1] = 2;
    folds.peak_disc[0] = 311;
    folds.peak_disc[1] = 222;
    folds.least_authority = 0.42;
    folds.saturated_ticks = 3;
    folds.limiter_ticks = 11;
    folds.tracking_square = 100 * 4e10;
    folds.braking_ticks = 100;
    folds.braking_distance = 21.5;
    folds.braking_speed_loss = 6.25;
    folds.detection_tick = 130;
    folds.recovery_tick = 260;
    folds.sound = 1;
  }
  MeasureValue get(const char* name) const {
    return make_measures(folds, context)[static_cast<size_t>(*find_measure(name))];
  }
  double value(const char* name) const {
    const MeasureValue m = get(name);
    EXPECT_EQ(m.state, State::kMeasured) << name << ": " << m.reason;
    return m.value;
  }
};

TEST(Measures, ComeInCatalogueOrder) {
  const Sample s;
  EXPECT_EQ(make_measures(s.folds, s.context).size(), catalogue().size());
  std::set<std::string_view> names;
  for (size_t i = 0; i < catalogue().size(); ++i) {
    EXPECT_EQ(find_measure(catalogue()[i].name), static_cast<int>(i));
    EXPECT_TRUE(names.insert(catalogue()[i].name).second);
    EXPECT_FALSE(catalogue()[i].unit.empty() || catalogue()[i].definition.empty() ||
                 catalogue()[i].source.empty());
  }
  EXPECT_EQ(find_measure("no_such_measure"), std::nullopt);
}

TEST(Measures, StoppingDistanceInterpolatesAtStandstill) {
  // 0.05 m/s is a quarter of the way from 0.06 to 0.02.
  EXPECT_NEAR(Sample().value("stopping_distance"), 68.41 - 15, 1e-12);
  EXPECT_NEAR(Sample().value("stopping_time"), 3.7025 - 0.5, 1e-12);
  EXPECT_NEAR(Sample().value("corrected_stopping_distance"), 53.41 * std::pow(100 / 3.6 / 30, 2), 1e-12);
}

TEST(Measures, FullyDevelopedDecelerationInterpolatesAtBothSpeeds) {
  // 24 m/s is halfway from 24.2 to 23.8, 3 m/s three fifths from 3.03 to 2.98.
  EXPECT_NEAR(Sample().value("mean_fully_developed_deceleration"), (24 * 24 - 3 * 3) / (2 * (68.03 - 33.2)),
              1e-12);
}

TEST(Measures, DelaysRunFromReferenceToPressureCrossing) {
  const Sample s;
  const char* names[] = {"delay_first_pressure", "delay_10_percent", "delay_63_percent", "delay_90_percent"};
  for (int i = 0; i < 4; ++i) {
    const double crossing = (54.0 + 4 * i + 0.25) * 0.01;  // the level is a quarter of the way
    EXPECT_NEAR(s.value(names[i]), (crossing - (0.50 + 0.02 * i)) * 1e3, 1e-9) << names[i];
  }
  EXPECT_NEAR(s.value("release_delay"), ((308 + 0.75) * 0.01 - 3.0) * 1e3, 1e-9);
}

TEST(Measures, ADelayMayBeNegative) {
  Sample s;
  s.context.rise_s[2] = 0.9;  // the candidate's pressure is there before the reference asks
  EXPECT_LT(s.value("delay_63_percent"), 0);
}

TEST(Measures, PlainFoldsInTheCataloguesUnits) {
  const Sample s;
  EXPECT_NEAR(s.value("pressure_overshoot"), 2, 1e-12);
  EXPECT_NEAR(s.value("tracking_error"), 2, 1e-12);
  EXPECT_NEAR(s.value("front_share"), 70, 1e-12);
  EXPECT_NEAR(s.value("peak_slip_front"), 12.3, 1e-12);
  EXPECT_NEAR(s.value("peak_slip_rear"), 4.5, 1e-12);
  EXPECT_NEAR(s.value("locked_time_front"), 70, 1e-12);
  EXPECT_NEAR(s.value("locked_time_rear"), 20, 1e-12);
  EXPECT_EQ(s.value("peak_disc_temperature_front"), 311);
  EXPECT_EQ(s.value("peak_disc_temperature_rear"), 222);
  EXPECT_EQ(s.value("peak_deceleration"), 9.7);
  EXPECT_NEAR(s.value("authority_margin"), 42, 1e-12);
  EXPECT_NEAR(s.value("flow_saturated_time"), 30, 1e-12);
  EXPECT_NEAR(s.value("slip_limit_time"), 110, 1e-12);
  EXPECT_NEAR(s.value("unrequested_pressure"), 0.4, 1e-12);
}

TEST(Measures, FaultTimesRunFromTheFaultsStartAndEnd) {
  Sample s;
  s.context.has_fault = true;
  s.context.fault_start_s = 1.25;
  s.context.fault_end_s = 2.0;
  EXPECT_NEAR(s.value("fault_detection_time"), 50, 1e-9);
  EXPECT_NEAR(s.value("fault_recovery_time"), 600, 1e-9);
  s.folds.recovery_tick = -1;
  EXPECT_EQ(s.get("fault_recovery_time").state, State::kNeverReached);
  s.folds.detection_tick = -1;
  EXPECT_EQ(s.get("fault_detection_time").state, State::kNeverReached);
}

TEST(Measures, WhatNeverHappenedIsNotANumber) {
  Sample s;
  s.folds.speed[2].tick = -1;
  for (const char* name : {"stopping_distance", "corrected_stopping_distance", "stopping_time",
                           "mean_fully_developed_deceleration"})
    EXPECT_EQ(s.get(name).state, State::kNeverReached) << name;
  s.folds.pressure_rise[3].tick = -1;
  EXPECT_EQ(s.get("delay_90_percent").state, State::kNeverReached);
  EXPECT_THAT(std::string(s.get("delay_90_percent").reason), testing::HasSubstr("never reached"));
  s.folds.pressure_fall.tick = -1;
  EXPECT_EQ(s.get("release_delay").state, State::kNeverReached);
}

TEST(Measures, WhatTheScenarioDoesNotShowSaysWhy) {
  Sample s;
  s.context.nominal_speed_mps = 0;
  s.context.rise_s[3] = -1;
  s.folds.peak_target = 0;
  s.folds.all_torque = 0;
  s.folds.braking_ticks = 0;
  for (const char* name :
       {"corrected_stopping_distance", "delay_90_percent", "pressure_overshoot", "front_share",
        "tracking_error", "fault_detection_time", "braking_distance", "speed_loss"}) {
    EXPECT_EQ(s.get(name).state, State::kNotApplicable) << name;
    EXPECT_FALSE(s.get(name).reason.empty()) << name;
  }
}

TEST(Measures, AStretchIsMeasuredInsteadOfAStop) {
  Sample s;
  s.context.ends_standing = false;
  EXPECT_NEAR(s.value("braking_distance"), 21.5, 1e-12);
  EXPECT_NEAR(s.value("speed_loss"), 6.25, 1e-12);
  EXPECT_EQ(s.get("stopping_distance").state, State::kNotApplicable);
}

TEST(Measures, RecordedPressureBypassesWhatLiesUpstream) {
  Sample s;
  s.context.pressure_entry = true;
  s.context.has_fault = true;
  for (const char* name :
       {"delay_first_pressure", "delay_10_percent", "delay_63_percent", "delay_90_percent", "release_delay",
        "pressure_overshoot", "tracking_error", "authority_margin", "flow_saturated_time", "slip_limit_time",
        "unrequested_pressure", "fault_detection_time", "fault_recovery_time", "fault_unbraked_time",
        "fault_lost_distance"}) {
    EXPECT_EQ(s.get(name).state, State::kNotApplicable) << name;
    EXPECT_THAT(std::string(s.get(name).reason), testing::HasSubstr("bypasses")) << name;
  }
  EXPECT_EQ(s.get("stopping_distance").state, State::kMeasured);
  EXPECT_EQ(s.get("front_share").state, State::kMeasured);
}

TEST(RecordingErrors, AreRootMeanSquares) {
  Folds<double> f{};
  EXPECT_FALSE(recording_errors(f, 0.01).compared);
  f.compared_ticks = 50;
  f.deceleration_square = 50 * 0.09;
  f.longest_departure_ticks = 40;
  EXPECT_TRUE(recording_errors(f, 0.01).compared);
  EXPECT_FALSE(recording_errors(f, 0.01).pressure_compared);
  EXPECT_NEAR(recording_errors(f, 0.01).deceleration_rms_mps2, 0.3, 1e-12);
  EXPECT_NEAR(recording_errors(f, 0.01).longest_departure_s, 0.4, 1e-12);
  f.pressure_compared_ticks = 25;
  f.pressure_square = 25 * 4e10;
  EXPECT_NEAR(recording_errors(f, 0.01).pressure_rms_bar, 2, 1e-12);
}

}  // namespace
}  // namespace brakeward::measure
