// Stints through a check: their tier, the same result whatever the threads, laps in progress and results,
// what only they can show.
#include "gate/stint.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "end_to_end/library_copy.h"
#include "gate/proposal.h"
#include "gate/run_message.h"

namespace brakeward::gate {
namespace {

using end_to_end::LibraryCopy;
using verdict::Verdict;

v1::Stint sample() {
  v1::Stint s;
  s.set_name("made");
  s.set_purpose("test");
  v1::LapPart* part = s.add_lap();
  part->set_scenario("saltmarsh_dry_100");
  part->set_then_drive_kph(100);
  part->set_then_drive_s(15);
  s.set_laps(4);
  s.mutable_variation()->set_seed(1);
  s.mutable_variation()->set_request_percent(3);
  s.set_resting_travel_mm(1.1);
  return s;
}

void add_change(v1::Stint& s) {
  v1::DriverChange* change = s.mutable_driver_change();
  change->set_after_lap(2);
  change->set_standing_s(10);
  change->set_to_control(v1::REQUEST_CONTROL_PEDAL);
  change->set_held_travel_mm(5);
  change->set_held_force_n(220);
  v1::LapPart* part = change->add_lap();
  part->set_scenario("saltmarsh_dry_100_pedal");
}

class StintCheck : public testing::Test {
 protected:
  void SetUp() override { copy_.keep({"saltmarsh_dry_100", "saltmarsh_dry_100_pedal"}); }

  absl::StatusOr<verdict::Run> check_again(const std::string& calibration, verdict::Tier tier,
                                           int threads = 0) {
    Options options;
    options.library = copy_.folder();
    options.calibration = calibration;
    options.tier = tier;
    CheckOptions how;
    how.threads = threads;
    how.progress = [&](size_t done, size_t all) { done_ = done, all_ = all; };
    how.lap = [&](const std::string& stint, int lap, int laps) {
      laps_.push_back(stint + " " + std::to_string(lap) + "/" + std::to_string(laps));
    };
    laps_.clear();
    return check(options, how);
  }
  std::string candidate(double dead_band_mm) {
    return copy_.candidate(
        [&](v1::Calibration& c) { c.mutable_hand_control()->set_dead_band_mm(dead_band_mm); });
  }

  LibraryCopy copy_;
  size_t done_ = 0, all_ = 0;
  std::vector<std::string> laps_;
};

const verdict::MeasureResult& measure_of(const verdict::Run& run, const std::string& name) {
  static const verdict::MeasureResult none;
  for (const auto& m : run.scenarios.back().measures)
    if (m.measure == name) return m;
  ADD_FAILURE() << name;
  return none;
}

TEST_F(StintCheck, BelongsToTheEnduranceTierAndTellsItsLaps) {
  copy_.add_stint(sample());
  const auto gate = check_again(copy_.released(), verdict::Tier::kGate);
  ASSERT_TRUE(gate.ok()) << gate.status();
  EXPECT_EQ(gate->scenarios.size(), 2u);
  EXPECT_TRUE(laps_.empty());
  const auto run = check_again(copy_.released(), verdict::Tier::kEndurance);
  ASSERT_TRUE(run.ok()) << run.status();
  ASSERT_EQ(run->scenarios.size(), 1u);
  EXPECT_EQ(run->scenarios[0].scenario_class, "stint");
  ASSERT_TRUE(run->scenarios[0].stint.has_value());
  EXPECT_EQ(run->scenarios[0].stint->laps.size(), 4u);
  EXPECT_EQ(laps_, (std::vector<std::string>{"made 1/4", "made 2/4", "made 3/4", "made 4/4"}));
  EXPECT_EQ(done_, 4u);
  EXPECT_EQ(all_, 4u);
  const auto all = check_again(copy_.released(), verdict::Tier::kAll);
  ASSERT_TRUE(all.ok()) << all.status();
  EXPECT_EQ(all->scenarios.size(), 3u);
  EXPECT_EQ(done_, all_);
}

TEST_F(StintCheck, GivesTheSameResultWhateverTheThreads) {
  v1::Stint other = sample();
  other.set_name("other");
  other.set_laps(3);
  copy_.add_stint(sample());
  copy_.add_stint(other);
  const auto one = check_again(copy_.released(), verdict::Tier::kAll, 1);
  const auto many = check_again(copy_.released(), verdict::Tier::kAll, 3);
  ASSERT_TRUE(one.ok() && many.ok());
  EXPECT_EQ(one->result_sha256, many->result_sha256);
}

TEST_F(StintCheck, HeatsUpAndSurvivesTheWayThroughAMessage) {
  copy_.add_stint(sample());
  const auto run = check_again(copy_.released(), verdict::Tier::kEndurance);
  ASSERT_TRUE(run.ok()) << run.status();
  const auto& laps = run->scenarios[0].stint->laps;
  EXPECT_GT(laps.back().front_disc_celsius, laps.front().front_disc_celsius + 50);
  EXPECT_LT(*laps.back().boiling_margin_kelvin, *laps.front().boiling_margin_kelvin);
  EXPECT_GT(*measure_of(*run, "stint_brake_work").value, 1000);
  const auto back = from_message(to_message(*run));
  ASSERT_TRUE(back.ok()) << back.status();
  EXPECT_EQ(back->scenarios[0].stint->laps[3].fluid_celsius, laps[3].fluid_celsius);
  EXPECT_EQ(back->scenarios[0].stint->parts.at(3).fluid_celsius, laps[3].fluid_celsius);
}

// The greatest of a lap's parts are the lap's, and first and last make the stint's change of distance.
TEST_F(StintCheck, TellsEveryPartOfItsLaps) {
  v1::Stint stint = sample();
  *stint.add_lap() = stint.lap(0);
  stint.mutable_lap(1)->set_scenario("saltmarsh_dry_100_pedal");
  copy_.add_stint(stint);
  const auto run = check_again(copy_.released(), verdict::Tier::kEndurance);
  ASSERT_TRUE(run.ok()) << run.status();
  const verdict::StintResult& shown = *run->scenarios[0].stint;
  EXPECT_EQ(run->scenarios[0].tier, verdict::Tier::kEndurance);
  ASSERT_EQ(shown.parts.size(), 8u);
  double change = -100;
  for (size_t lap = 0; lap < 4; ++lap) {
    const verdict::StintPart &a = shown.parts[2 * lap], &b = shown.parts[2 * lap + 1];
    EXPECT_EQ(a.lap, static_cast<int>(lap + 1));
    EXPECT_EQ(b.scenario, "saltmarsh_dry_100_pedal");
    EXPECT_EQ(a.compared, lap == 0 || lap == 3);
    EXPECT_EQ(std::max(a.front_disc_celsius, b.front_disc_celsius), shown.laps[lap].front_disc_celsius);
    EXPECT_EQ(std::max(a.rear_disc_celsius, b.rear_disc_celsius), shown.laps[lap].rear_disc_celsius);
    EXPECT_EQ(std::max(a.fluid_celsius, b.fluid_celsius), shown.laps[lap].fluid_celsius);
    EXPECT_EQ(std::max(a.actuator_celsius, b.actuator_celsius), shown.laps[lap].actuator_celsius);
  }
  for (size_t part = 0; part < 2; ++part)
    change = std::max(change, 100 * (*shown.parts[6 + part].distance_m / *shown.parts[part].distance_m - 1));
  EXPECT_EQ(*measure_of(*run, "stint_distance_change").value, change);
}

// A hand that rests on the control within the released dead band asks for nothing; with a smaller one the
// brakes drag all the way.
TEST_F(StintCheck, ShowsDragOnLapsThatShouldCool) {
  copy_.add_stint(sample());
  copy_.make_baseline();
  const auto same = check_again(copy_.released(), verdict::Tier::kEndurance);
  ASSERT_TRUE(same.ok()) << same.status();
  EXPECT_EQ(same->verdict, Verdict::kPass);
  const auto drags = check_again(candidate(0.5), verdict::Tier::kEndurance);
  ASSERT_TRUE(drags.ok()) << drags.status();
  EXPECT_EQ(drags->verdict, Verdict::kFail);
  const auto& drag = measure_of(*drags, "stint_drag_work");
  EXPECT_EQ(drag.verdict, Verdict::kFail);
  for (const auto& m : drags->scenarios[0].measures)
    EXPECT_LE(m.tolerance_used.value_or(0), *drag.tolerance_used) << m.measure;
}

// Both hold their control when the selector changes: the larger request is there already, a ramp is neither a
// gap nor a snatch, a step is a snatch, a long ramp a gap.
TEST_F(StintCheck, ShowsHowTheSelectorChangesOver) {
  v1::Stint stint = sample();
  add_change(stint);
  copy_.add_stint(stint);
  const auto shown = [&](std::optional<double> change_over_ms) {
    const std::string calibration = copy_.candidate([&](v1::Calibration& c) {
      if (!change_over_ms) return;
      c.mutable_arbitration()->set_rule(v1::ARBITRATION_RULE_DRIVER_SELECTOR);
      c.mutable_arbitration()->set_change_over_ms(*change_over_ms);
    });
    const auto run = check_again(calibration, verdict::Tier::kEndurance);
    EXPECT_TRUE(run.ok()) << run.status();
    return std::pair(measure_of(*run, "change_over_time").value.value_or(-1),
                     measure_of(*run, "change_over_jump").value.value_or(-1));
  };
  const auto [larger_time, larger_jump] = shown(std::nullopt);
  EXPECT_EQ(larger_time, 0);
  EXPECT_LT(larger_jump, 0.5);
  const auto [ramp_time, ramp_jump] = shown(400);
  EXPECT_NEAR(ramp_time, 400, 150);
  EXPECT_LT(ramp_jump, 10);
  const auto [step_time, step_jump] = shown(0);
  EXPECT_LT(step_time, 200);
  EXPECT_GT(step_jump, 1.5 * ramp_jump);
  const auto [long_time, long_jump] = shown(1500);
  EXPECT_GT(long_time, 1000);
  EXPECT_LT(long_jump, ramp_jump);
}

// The released calibration itself lets the selector decide, and the second driver takes the hand control.
TEST_F(StintCheck, ChangesFromThePedalToTheHandToo) {
  v1::Stint stint = sample();
  stint.mutable_lap(0)->set_scenario("saltmarsh_dry_100_pedal");
  stint.set_selected_control(v1::REQUEST_CONTROL_PEDAL);
  add_change(stint);
  v1::DriverChange& change = *stint.mutable_driver_change();
  change.set_to_control(v1::REQUEST_CONTROL_HAND);
  change.set_held_travel_mm(14);
  change.set_held_force_n(60);
  change.mutable_lap(0)->set_scenario("saltmarsh_dry_100");
  copy_.add_stint(stint);
  copy_.change<v1::Calibration>(copy_.released(), [](v1::Calibration& c) {
    c.mutable_arbitration()->set_rule(v1::ARBITRATION_RULE_DRIVER_SELECTOR);
    c.mutable_arbitration()->set_change_over_ms(300);
  });
  const auto run = check_again(copy_.released(), verdict::Tier::kEndurance);
  ASSERT_TRUE(run.ok()) << run.status();
  EXPECT_NEAR(measure_of(*run, "change_over_time").value.value_or(-1), 300, 150);
  EXPECT_GT(*measure_of(*run, "stint_brake_work").value, 1000) << "both drivers' laps brake";
}

TEST_F(StintCheck, IsInABaselineWithTheScenariosItIsMadeOf) {
  copy_.add_stint(sample());
  copy_.make_baseline();
  copy_.change<v1::Scenario>(copy_.file("scenarios/saltmarsh_dry_100.textproto"),
                             [](v1::Scenario& s) { s.set_front_disc_celsius(90); });
  const auto run = check_again(copy_.released(), verdict::Tier::kEndurance);
  ASSERT_FALSE(run.ok());
  EXPECT_NE(
      run.status().message().find(
          "scenarios[\"made\"]: the stint or one of its scenarios has changed since the baseline was made"),
      std::string::npos)
      << run.status();
}

TEST_F(StintCheck, TellsWhenTheFuelRunsOut) {
  v1::Stint stint = sample();
  stint.set_laps(200);
  stint.mutable_fuel()->set_place("fuel");
  stint.mutable_fuel()->set_kg_per_lap(20);
  copy_.add_stint(stint);
  const auto run = check_again(copy_.released(), verdict::Tier::kEndurance);
  ASSERT_FALSE(run.ok());
  EXPECT_NE(run.status().message().find("fuel.kg_per_lap: on lap "), std::string::npos) << run.status();
}

}  // namespace
}  // namespace brakeward::gate
