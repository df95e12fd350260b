// Measures of a stint from folds written by hand.
#include "measure/stint_measures.h"

#include <gtest/gtest.h>

#include <deque>

namespace brakeward::measure {
namespace {

// Legs that need their folds to stay where they are.
class Stint {
 public:
  // A stop of so many metres.
  StintLegRecord& add(int lap, bool compares, int part, double distance) {
    Folds<double>& f = folds_.emplace_back();
    StintFolds<double>& s = stint_.emplace_back();
    f = {};
    s = {};
    f.speed[2].tick = 3000;
    f.last_distance = distance;
    f.braking_distance = distance;
    f.braking_speed_loss = 30;
    f.braking_ticks = 100 * distance;
    f.finish_tick = 3000;
    f.least_authority = 0.5;
    s.least_boiling_margin = kNoMargin;
    s.short_tick = -1;
    StintLegRecord& r = legs_.emplace_back();
    r.lap = lap;
    r.compares = compares;
    r.part = part;
    r.is_stop = true;
    r.folds = &f;
    r.stint = &s;
    return r;
  }
  Folds<double>& folds(size_t leg) { return folds_[leg]; }
  StintFolds<double>& stint(size_t leg) { return stint_[leg]; }
  StintLegRecord& leg(size_t i) { return legs_[i]; }

  MeasureValue value(std::string_view name, StintContext context = {2, true, true, true}) {
    const auto values = make_stint_measures(legs_, context);
    return values[static_cast<size_t>(find_measure(name).value())];
  }
  LapSummary lap(int number) { return summarise_lap(legs_, number); }
  std::vector<PartSummary> parts() { return summarise_parts(legs_); }

 private:
  std::deque<Folds<double>> folds_;
  std::deque<StintFolds<double>> stint_;
  std::vector<StintLegRecord> legs_;
};

using State = MeasureValue::State;

TEST(StintMeasures, SetEffortAgainstTheWorkOfThePartsItWasUsedIn) {
  Stint s;
  s.add(1, true, 0, 40);
  s.add(1, true, 1, 40);
  s.leg(0).tick_s = s.leg(1).tick_s = 0.001;
  EXPECT_EQ(s.value("stint_hand_effort").state, State::kNotApplicable);
  s.stint(0).hand_effort = 0.012 * 5000;  // 12 mm for 5 s
  EXPECT_EQ(s.value("stint_hand_effort").state, State::kNeverReached);
  for (double& work : s.stint(0).friction_work) work = 0.1e6;
  for (double& work : s.stint(1).friction_work) work = 0.2e6;
  EXPECT_NEAR(s.value("stint_hand_effort").value, 12 * 5 / 0.4, 1e-9);
  s.stint(1).pedal_effort = 100 * 3000;  // 100 N for 3 s
  EXPECT_NEAR(s.value("stint_pedal_effort").value, 100 * 3 / 0.8, 1e-9);
}

TEST(StintMeasures, CompareTheFirstAndLastLapPartByPart) {
  Stint s;
  s.add(1, false, 0, 80);
  s.add(2, true, 0, 40);
  s.add(2, true, 1, 50);
  s.add(3, false, 0, 90);
  s.add(4, true, 0, 44);
  s.add(4, true, 1, 52);
  EXPECT_NEAR(s.value("stint_distance_change").value, 10, 1e-9) << "the worse of 10 % and 4 %";
  EXPECT_NEAR(s.value("stint_deceleration_change").value, 100 * (40.0 / 44 - 1), 1e-9);
}

TEST(StintMeasures, TellWhenAStopNeverEnds) {
  Stint s;
  s.add(1, true, 0, 40);
  s.add(2, true, 0, 60);
  s.folds(1).speed[2].tick = -1;
  EXPECT_EQ(s.value("stint_distance_change").state, State::kNeverReached);
}

TEST(StintMeasures, HaveNothingToCompareInOneLapAtPace) {
  Stint s;
  s.add(1, true, 0, 40);
  s.add(2, false, 0, 60);
  EXPECT_EQ(s.value("stint_distance_change").state, State::kNotApplicable);
  EXPECT_EQ(s.value("stint_deceleration_change").state, State::kNotApplicable);
}

TEST(StintMeasures, TakeTheWorstOfHeatAndBoilingAndAddUpTheRest) {
  Stint s;
  s.add(1, true, 0, 40);
  s.add(2, true, 0, 40);
  s.stint(0).peak_fluid[1] = 120;
  s.stint(1).peak_fluid[0] = 140;
  s.stint(0).least_boiling_margin = 60;
  s.stint(1).least_boiling_margin = 45;
  s.stint(0).derated_ticks = 2000;
  s.stint(1).derated_ticks = 500;
  s.stint(0).unasked_work = 3000;
  s.stint(1).unasked_work = 5000;
  s.stint(0).load_square[1] = 600;
  s.stint(1).load_square[1] = 900;
  for (double& work : s.stint(0).friction_work) work = 1e5;
  EXPECT_EQ(s.value("stint_peak_fluid_temperature").value, 140);
  EXPECT_EQ(s.value("stint_boiling_margin").value, 45);
  EXPECT_DOUBLE_EQ(s.value("stint_derating_time").value, 2.5);
  EXPECT_DOUBLE_EQ(s.value("stint_drag_work").value, 4);
  EXPECT_DOUBLE_EQ(s.value("stint_brake_work").value, 400);
  EXPECT_DOUBLE_EQ(s.value("stint_actuator_duty").value, 50) << "root of 1500 / 6000";
}

TEST(StintMeasures, ReadWearAtTheEnd) {
  Stint s;
  s.add(1, true, 0, 40);
  s.add(2, true, 0, 40);
  const double worn[] = {100e-9, 120e-9, 50e-9, 50e-9};
  std::copy_n(worn, 4, s.stint(1).worn);
  EXPECT_NEAR(s.value("stint_wear_front").value, 120, 1e-9);
  EXPECT_NEAR(s.value("stint_wear_rear").value, 50, 1e-9);
  EXPECT_NEAR(s.value("stint_wear_spread").value, 100 * 70.0 / 80, 1e-9);
}

TEST(StintMeasures, TimeTheChangeOverUntilThePressureIsThereForGood) {
  Stint s;
  s.add(1, true, 0, 40);
  EXPECT_EQ(s.value("change_over_time").state, State::kNotApplicable);
  s.leg(0).selector_tick = 2000;
  EXPECT_EQ(s.value("change_over_time").value, 0) << "it never fell short";
  s.stint(0).short_tick = 2349;
  s.stint(0).jump = 4e5;
  EXPECT_DOUBLE_EQ(s.value("change_over_time").value, 350);
  EXPECT_DOUBLE_EQ(s.value("change_over_jump").value, 4);
  s.stint(0).short_tick = 3000;
  EXPECT_EQ(s.value("change_over_time").state, State::kNeverReached);
}

TEST(StintMeasures, DoNotShowWhatTheVehicleDoesNotSay) {
  Stint s;
  s.add(1, true, 0, 40);
  const StintContext poor{1, false, false, false};
  for (const char* name : {"stint_boiling_margin", "stint_wear_front", "stint_wear_spread",
                           "stint_peak_actuator_temperature", "stint_derating_time"})
    EXPECT_EQ(s.value(name, poor).state, State::kNotApplicable) << name;
  EXPECT_EQ(s.value("stopping_distance").state, State::kNotApplicable) << "made by single replays";
}

TEST(StintMeasures, SumUpALap) {
  Stint s;
  s.add(1, true, 0, 40);
  s.add(1, true, 1, 30);
  s.add(2, true, 0, 40);
  s.folds(0).peak_disc[0] = 300;
  s.folds(1).peak_disc[0] = 350;
  s.folds(2).peak_disc[0] = 400;
  s.stint(1).least_boiling_margin = 70;
  EXPECT_EQ(s.lap(1).braking_distance, 70);
  EXPECT_EQ(s.lap(1).peak_disc[0], 350);
  EXPECT_EQ(s.lap(1).boiling_margin, 70);
  EXPECT_FALSE(s.lap(2).boiling_margin.has_value());
}

// What is driven and stood after a part counts with it.
TEST(StintMeasures, SumUpEveryPart) {
  Stint s;
  s.add(1, true, 0, 40);
  s.add(1, false, 0, 0).part.reset();
  s.add(1, true, 1, 30);
  s.add(2, true, 0, 44);
  s.folds(0).peak_disc[0] = 300;
  s.stint(0).peak_fluid[1] = 90;
  s.folds(1).peak_disc[0] = 280;
  s.stint(1).peak_fluid[1] = 95;
  s.folds(2).peak_disc[0] = 350;
  s.stint(2).peak_winding[1] = 60;
  s.folds(2).speed[2].tick = -1;
  s.folds(3).braking_ticks = 0;
  const auto parts = s.parts();
  ASSERT_EQ(parts.size(), 3u);
  EXPECT_EQ(parts[0].leg, 0u);
  EXPECT_EQ(parts[1].leg, 2u);
  EXPECT_EQ(parts[0].distance, 40);
  EXPECT_DOUBLE_EQ(*parts[0].deceleration, 30 / (100 * 40 * 0.001));
  EXPECT_EQ(parts[0].peak_disc[0], 300);
  EXPECT_EQ(parts[0].peak_fluid, 95);
  EXPECT_EQ(parts[1].peak_disc[0], 350);
  EXPECT_EQ(parts[1].peak_winding, 60);
  EXPECT_FALSE(parts[1].distance.has_value()) << "it never stood";
  EXPECT_FALSE(parts[2].deceleration.has_value()) << "braking was never asked for";
}

}  // namespace
}  // namespace brakeward::measure
