// Each of these planted mistakes is caught, and the measure named first is the one an engineer would look
// for.
#include <gtest/gtest.h>

#include "end_to_end/demo/demo_check.h"

namespace brakeward::demo {
namespace {

struct Candidate {
  const char* car;
  const char* name;
  const char* first;  // measure
  const char* also;   // "measure in scenario"
};

std::string name_of(const testing::TestParamInfo<Candidate>& info) {
  return std::string(info.param.car) + "_" + info.param.name;
}

const Candidate kCandidates[] = {
    {"sorrel", "bad_rearm", "fault_return_jump", "fault_return_jump in lost_request"},
    {"sorrel", "bad_fault_debounce", "fault_detection_time", "fault_detection_time in one_track"},
    {"sorrel", "bad_dead_band", "delay_90_percent", "tracking_error in ramp_hand"},
    {"sorrel", "bad_slip_threshold", "peak_slip_front", "locked_time_front in millrace_split_80"},
    {"sorrel", "bad_crossed_grades", "locked_time_front", "peak_deceleration in step_hand"},
    {"sorrel", "bad_swapped_steps", "front_share", "front_share in saltmarsh_dry_100"},
    {"sorrel", "bad_no_prefill", "delay_10_percent", "delay_10_percent in corrie_bend_80"},
    {"sorrel", "bad_hysteresis", "feel_hand_hysteresis", "feel_hand_hysteresis in feel_hand"},
    {"sorrel", "bad_steering", "mirrored_delay_difference", "mirrored_delay_difference in corrie_hairpin"},
    {"sorrel", "bad_hot_grade", "driver_speed_error", "driver_speed_error in corrie_follow_hot"},
    {"sorrel", "bad_hold", "roll_away_distance", "roll_away_distance in corrie_hill_start"},
    {"bracken", "bad_rearm", "fault_return_jump", "fault_return_jump in lost_request"},
    {"bracken", "bad_fault_debounce", "fault_detection_time", "fault_detection_time in one_track"},
    {"bracken", "bad_dead_band", "delay_first_pressure", "tracking_error in ramp_hand"},
    {"bracken", "bad_rise_rate", "delay_90_percent", "delay_90_percent in step_hand"},
    {"bracken", "bad_crossed_grades", "locked_time_front", "peak_deceleration in step_hand"},
    {"bracken", "bad_swapped_steps", "front_share", "front_share in alder_bend_50"},
    {"bracken", "bad_no_prefill", "delay_10_percent", "delay_10_percent in fellgate_soak"},
    {"bracken", "bad_hysteresis", "feel_hand_hysteresis", "feel_hand_hysteresis in feel_hand"},
    {"bracken", "bad_steering", "mirrored_delay_difference",
     "mirrored_delay_difference in alder_bend_both_ways"},
    {"bracken", "bad_hot_pedal", "driver_speed_error", "driver_speed_error in fellgate_follow_hot"},
    {"bracken", "bad_hold", "roll_away_distance", "roll_away_distance in fellgate_hill_start"},
};

class Candidates : public testing::TestWithParam<Candidate> {};

TEST_P(Candidates, IsCaughtByTheAptMeasureFirst) {
  const Candidate& c = GetParam();
  const Outcome outcome = check(c.car, std::string("candidate_") + c.name);
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(outcome.first.find(std::string(c.first) + " in "), 0u) << outcome.first;
  EXPECT_TRUE(failures_of(outcome.run).all.count(c.also)) << c.also;
}

INSTANTIATE_TEST_SUITE_P(Cars, Candidates, testing::ValuesIn(kCandidates), name_of);

// These mistakes show nowhere but where the wheel is turned, where a driver asks for the end of his reach, or
// where he lets a halted car go.
TEST(Candidates, ThatShowInOneSituationFailInItsScenariosAlone) {
  const struct {
    const char *car, *name;
    std::set<std::string> scenarios;
  } kCases[] = {{"sorrel", "candidate_bad_steering", {"corrie_hairpin"}},
                {"sorrel", "candidate_bad_hot_grade", {"corrie_follow_hot", "full_hand"}},
                {"sorrel", "candidate_bad_hold", {"corrie_hill_start", "corrie_hill_wait"}},
                {"bracken", "candidate_bad_hold", {"fellgate_hill_start", "fellgate_hill_wait"}},
                {"bracken", "candidate_bad_steering", {"alder_bend_both_ways"}},
                {"bracken", "candidate_bad_hot_pedal", {"fellgate_follow_hot"}}};
  for (const auto& c : kCases)
    EXPECT_EQ(failures_of(check(c.car, c.name).run).scenarios, c.scenarios) << c.car << " " << c.name;
}

// A campaign is one scenario of the run, and says of each of its faults what it found.
TEST(Campaigns, TellWhichFaultAtWhichOnsetLetsTheBrakesBiteAgain) {
  const Outcome outcome = check("sorrel", "candidate_bad_rearm");
  for (const auto& scenario : outcome.run.at("scenarios")) {
    if (!scenario.contains("campaign")) {
      EXPECT_EQ(scenario.at("verdict"), "VERDICT_PASS") << scenario.at("scenario") << " has no such moment";
      continue;
    }
    if (scenario.at("scenario") != "lost_request") continue;
    EXPECT_EQ(scenario.at("verdict"), "VERDICT_FAIL");
    ASSERT_EQ(scenario.at("campaign").at("faults").size(), 3u);
    for (const auto& fault : scenario.at("campaign").at("faults")) {
      const std::string name = fault.at("name");
      EXPECT_EQ(fault.at("verdict"), "VERDICT_FAIL") << name;
      for (const auto& m : fault.at("measures"))
        if (m.at("measure") == "fault_return_jump") {
          EXPECT_NE(std::string(m.at("reason")).find("worst in lost_request/" + name + "/"),
                    std::string::npos);
        }
    }
  }
}

}  // namespace
}  // namespace brakeward::demo
