// The use cases, called as a program that embeds them would. On changed copies of the demo library.
#include "gate/check.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "end_to_end/library_copy.h"
#include "gate/session.h"
#include "measure/catalogue.h"
#include "unit/gate/released_options.h"

namespace brakeward::gate {
namespace {

using end_to_end::LibraryCopy;

const verdict::ScenarioResult& scenario_of(const verdict::Run& run, const std::string& name) {
  return *std::find_if(run.scenarios.begin(), run.scenarios.end(),
                       [&](const auto& s) { return s.scenario == name; });
}

const verdict::MeasureResult* measure_of(const verdict::ScenarioResult& s, const std::string& name) {
  const auto it =
      std::find_if(s.measures.begin(), s.measures.end(), [&](const auto& m) { return m.measure == name; });
  return it == s.measures.end() ? nullptr : &*it;
}

TEST(Check, ReportsProgressUpToTheEnd) {
  LibraryCopy copy;
  std::vector<size_t> seen;
  size_t of = 0;
  CheckOptions how;
  how.progress = [&](size_t done, size_t all) {
    seen.push_back(done);
    of = all;
  };
  const auto run = check(options_for(copy), how);
  ASSERT_TRUE(run.ok()) << run.status();
  ASSERT_FALSE(seen.empty());
  EXPECT_TRUE(std::is_sorted(seen.begin(), seen.end()));
  EXPECT_EQ(seen.back(), of);
  const auto session = open_session(options_for(copy));
  ASSERT_TRUE(session.ok()) << session.status();
  EXPECT_EQ(of, static_cast<size_t>(count_replays(*session)));
  EXPECT_GE(of, run->scenarios.size());
}

TEST(Check, ReplaysTheCalibrationOnTheCarBesideAnother) {
  LibraryCopy copy;
  copy.keep({"saltmarsh_dry_100", "step_hand"});
  Options options = options_for(copy);
  options.calibration =
      copy.candidate([](v1::Calibration& c) { c.mutable_hand_control()->set_low_pass_hz(20); });
  size_t all = 0;
  CheckOptions how;
  how.progress = [&](size_t, size_t of) { all = of; };
  const auto run = check(options, how);
  ASSERT_TRUE(run.ok()) << run.status();
  EXPECT_EQ(all, 3u) << "two with the candidate, and the recorded one with what was on the car";
  const auto& recorded = scenario_of(*run, "saltmarsh_dry_100");
  ASSERT_TRUE(recorded.reproduction.has_value());
  EXPECT_EQ(recorded.reproduction->calibration_name, "released");
  EXPECT_FALSE(scenario_of(*run, "step_hand").reproduction.has_value());
}

TEST(Check, CanBeCancelled) {
  LibraryCopy copy;
  const std::atomic<bool> cancel = true;
  CheckOptions how;
  how.cancel = &cancel;
  EXPECT_EQ(check(options_for(copy), how).status().code(), absl::StatusCode::kCancelled);
}

TEST(Check, SaysThereWasNoBaseline) {
  LibraryCopy copy;
  copy.keep({"ramp_hand"});
  const auto run = check(options_for(copy));
  ASSERT_TRUE(run.ok()) << run.status();
  EXPECT_EQ(run->baseline_event_build, "");
  EXPECT_EQ(run->verdict, verdict::Verdict::kInconclusive) << "nothing is judged, so nothing passed";
  for (const auto& m : run->scenarios[0].measures) EXPECT_EQ(m.verdict, verdict::Verdict::kNone) << m.measure;
}

TEST(Check, AClassReplacesTheToleranceForEveryClass) {
  LibraryCopy copy;
  copy.keep({"step_hand", "ramp_hand"});
  end_to_end::write_file(copy.file("tolerances/sorrel.textproto"),
                         "name: \"two\"\n"
                         "every_class { measure: \"peak_deceleration\" effect: 2 source: \"test\" }\n"
                         "classes { scenario_class: SCENARIO_CLASS_STEP\n"
                         "  measures { measure: \"peak_deceleration\" effect: 0.25 source: \"test\" } }\n");
  copy.make_baseline();
  const auto run = check(options_for(copy));
  ASSERT_TRUE(run.ok()) << run.status();
  const auto* step = measure_of(scenario_of(*run, "step_hand"), "peak_deceleration");
  const auto* ramp = measure_of(scenario_of(*run, "ramp_hand"), "peak_deceleration");
  ASSERT_TRUE(step && step->allowed_change && ramp && ramp->allowed_change);
  EXPECT_EQ(*step->allowed_change, 0.25);
  EXPECT_EQ(*ramp->allowed_change, 2);
}

TEST(Check, ALimitFailsWithoutABaseline) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  copy.change<v1::Scenario>(copy.file("scenarios/step_hand.textproto"), [](v1::Scenario& s) {
    s.clear_limits();
    auto* limit = s.add_limits();
    limit->set_measure("peak_deceleration");
    limit->set_minimum(100);
    limit->set_source("no car brakes like this");
  });
  const auto run = check(options_for(copy));
  ASSERT_TRUE(run.ok()) << run.status();
  EXPECT_EQ(run->verdict, verdict::Verdict::kFail);
  const auto* m = measure_of(run->scenarios[0], "peak_deceleration");
  ASSERT_NE(m, nullptr);
  EXPECT_EQ(m->verdict, verdict::Verdict::kFail);
  EXPECT_NE(m->reason.find("no car brakes like this"), std::string::npos) << m->reason;
}

// A candidate far from the one on the car: the recorded driver would have braked differently.
TEST(Check, ACandidateFarFromTheRecordingIsNoPassOfTheCar) {
  LibraryCopy copy;
  copy.keep({"saltmarsh_dry_100"});
  copy.change<v1::Scenario>(copy.file("scenarios/saltmarsh_dry_100.textproto"),
                            [](v1::Scenario& s) { s.clear_limits(); });
  copy.make_baseline();
  Options options = options_for(copy);
  options.calibration = copy.candidate([](v1::Calibration& c) {
    for (auto& grade : *c.mutable_hand_control()->mutable_effort_grades())
      for (auto& point : *grade.mutable_feel()->mutable_points()) point.set_y(1.3 * point.y());
  });
  const auto run = check(options);
  ASSERT_TRUE(run.ok()) << run.status();
  const auto& s = run->scenarios[0];
  EXPECT_NE(s.reason.find("the driver would have braked differently"), std::string::npos) << s.reason;
  for (const char* name : {"stopping_distance", "mean_fully_developed_deceleration"}) {
    const auto* m = measure_of(s, name);
    ASSERT_NE(m, nullptr);
    EXPECT_NE(m->verdict, verdict::Verdict::kPass) << name;
  }
}

TEST(ReplayScenario, GivesTheValuesOfACheckAndATrace) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  const auto outcome = replay_scenario(options_for(copy), "step_hand");
  const auto run = check(options_for(copy));
  ASSERT_TRUE(outcome.ok() && run.ok());
  EXPECT_GT(outcome->trace.ticks, 1000);
  ASSERT_EQ(outcome->result.measures.size(), measure::catalogue().size());
  for (const auto& m : outcome->result.measures)
    EXPECT_EQ(m.value, measure_of(run->scenarios[0], m.measure)->value) << m.measure << ": one lane or eight";
}

TEST(ReplayScenario, TellsOfABrokenReplay) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  // Each value is allowed, the set is not meant: slip stiffness grows as exp(2 df) and df is near fifty.
  copy.change<v1::Vehicle>(copy.vehicle(), [](v1::Vehicle& v) {
    v.mutable_chassis()->set_mass_kg(10000);
    v.mutable_front_tyre()->set_nominal_load_n(500);
    v.mutable_front_tyre()->set_p_kx2(0);
    v.mutable_front_tyre()->set_p_kx3(2);
    for (v1::Tyre* t : {v.mutable_front_tyre(), v.mutable_rear_tyre()}) t->set_p_dx2(0);
  });
  const auto outcome = replay_scenario(options_for(copy), "step_hand");
  ASSERT_TRUE(outcome.ok()) << outcome.status();
  EXPECT_EQ(outcome->result.verdict, verdict::Verdict::kError);
  EXPECT_TRUE(outcome->result.measures.empty());
  EXPECT_EQ(outcome->result.reason.find("the replay turned non-finite at "), 0u) << outcome->result.reason;
}

TEST(ReplayScenario, DoesNotKnowEveryName) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  const auto outcome = replay_scenario(options_for(copy), "step");
  EXPECT_EQ(outcome.status().code(), absl::StatusCode::kInvalidArgument);
  EXPECT_NE(outcome.status().message().find("it has step_hand"), std::string::npos) << outcome.status();
}

}  // namespace
}  // namespace brakeward::gate
