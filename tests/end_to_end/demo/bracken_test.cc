// Each mistake planted in a candidate of bracken is caught by the measure an engineer would name for it, and
// only where it works.
#include <gtest/gtest.h>

#include "end_to_end/demo/demo_check.h"

namespace brakeward::demo {
namespace {

using Names = std::set<std::string>;

TEST(Bracken, BetterStopsShorterWithHandAndPedal) {
  const Outcome outcome = check("bracken", "candidate_better");
  ASSERT_EQ(outcome.exit_code, 0);
  for (const char* stop : {"heron_dry_50", "heron_dry_50_pedal", "heron_dry_100", "heron_full_100"})
    expect_less_than_baseline(outcome.run, stop, "stopping_distance");
}

// The hand control does not change: whatever fails has the pedal in it.
TEST(Bracken, WeakerPedalIsCaughtByThePedalStopsAlone) {
  const Outcome outcome = check("bracken", "candidate_bad_pedal_gain");
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(outcome.first, "stopping_time in heron_full_100");
  const Failures failed = failures_of(outcome.run);
  EXPECT_EQ(failed.scenarios,
            (Names{"heron_dry_50_pedal", "heron_dry_100_pedal", "heron_full_100", "heron_split_60",
                   "yard_lost_request", "yard_leak", "yard_no_power", "step_pedal", "ramp_pedal",
                   "pedal_left", "fellgate_roll_back", "feel_pedal", "fellgate_follow_hot"}));
}

TEST(Bracken, HigherSlipThresholdIsCaughtByTheSlipOnSplitFriction) {
  const Outcome outcome = check("bracken", "candidate_bad_slip_threshold");
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(outcome.first, "peak_slip_front in heron_split_60");
  const Failures failed = failures_of(outcome.run);
  EXPECT_EQ(failed.scenarios,
            (Names{"heron_puddle_60", "heron_split_60", "heron_wet_80", "yard_cobbles_40"}));
  EXPECT_FALSE(failed.all.count("peak_slip_front in heron_wet_80"))
      << "the replay departs from the recording";
}

// Only the scenarios with that step of the selector can show it; the hot one tells shares apart best.
TEST(Bracken, OneStepOfTheSelectorIsCaughtByTheShareOfTheFullVan) {
  const Outcome outcome = check("bracken", "candidate_bad_full_step");
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(outcome.first, "front_share in fellgate_follow_hot");
  const Failures failed = failures_of(outcome.run);
  EXPECT_EQ(failed.scenarios,
            (Names{"fellgate_downhill", "fellgate_follow_hot", "heron_full_100", "heron_repeat_80"}));
  EXPECT_TRUE(failed.all.count("front_share in fellgate_downhill"));
}

TEST(Bracken, SlowerFallIsCaughtByTheReleaseDelay) {
  const Outcome outcome = check("bracken", "candidate_bad_fall_limit");
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(outcome.first, "release_delay in ramp_hand");
  const Failures failed = failures_of(outcome.run);
  EXPECT_EQ(failed.measures, (Names{"peak_jerk", "release_delay"}));
  EXPECT_EQ(failed.scenarios, (Names{"alder_bend_50", "alder_bend_both_ways", "yard_kerb", "fellgate_soak",
                                     "frost_step", "ramp_hand", "ramp_pedal", "step_hand", "step_pedal"}));
}

// The 4 mm between the tracks are within the 6 mm it allows: the fault is never noticed.
TEST(Bracken, WiderTrackDifferenceIsCaughtByTheDetectionThatNeverComes) {
  const Outcome outcome = check("bracken", "candidate_bad_track_difference");
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(outcome.first, "fault_undetected_share in lost_request");
  const Failures failed = failures_of(outcome.run);
  EXPECT_EQ(failed.scenarios, (Names{"lost_request", "yard_track_offset"}));
  EXPECT_TRUE(failed.all.count("fault_detection_time in yard_track_offset"));
  EXPECT_TRUE(failed.all.count("fault_detection_time in lost_request"));
}

// Real faults are noticed 40 ms sooner under it: a harness that looks at detection alone would praise it.
TEST(Bracken, ShorterDebounceIsCaughtByTheGlitchItMustNotAnswer) {
  const Outcome outcome = check("bracken", "candidate_bad_short_debounce");
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(outcome.first, "fault_unbraked_time in yard_glitch");
  const Failures failed = failures_of(outcome.run);
  // Taken away 40 ms sooner, the request is missing for 40 ms longer where it is lost for good.
  EXPECT_EQ(failed.scenarios, (Names{"yard_glitch", "yard_lost_request", "yard_track_offset"}));
  EXPECT_TRUE(failed.all.count("fault_detection_time in yard_glitch")) << "the limit of 40 ms";
  EXPECT_NEAR(value_of(outcome.run, "yard_track_offset", "fault_detection_time", "baseline") -
                  value_of(outcome.run, "yard_track_offset", "fault_detection_time", "value"),
              40, 1.01);  // ms: the planted 40, a tick of 1 ms either way
}

}  // namespace
}  // namespace brakeward::demo
