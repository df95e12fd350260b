// Each mistake planted in a candidate of sorrel is caught by the measure an engineer would name for it.
#include <gtest/gtest.h>

#include "end_to_end/demo/demo_check.h"

namespace brakeward::demo {
namespace {

TEST(Sorrel, BetterStopsShorter) {
  const Outcome outcome = check("sorrel", "candidate_better");
  ASSERT_EQ(outcome.exit_code, 0);
  for (const char* stop : {"corrie_dry_60", "saltmarsh_dry_100", "saltmarsh_dry_140"})
    expect_less_than_baseline(outcome.run, stop, "stopping_distance");
}

TEST(Sorrel, SlowerRiseIsCaughtAsSuch) {
  const Outcome outcome = check("sorrel", "candidate_bad_rise_rate");
  EXPECT_EQ(outcome.exit_code, 1);
  const Failures failed = failures_of(outcome.run);
  EXPECT_EQ(failed.worst, "rise_rate");
  EXPECT_TRUE(failed.all.count("delay_90_percent in step_hand"));
  EXPECT_TRUE(failed.all.count("delay_90_percent in millrace_stabs"));
}

TEST(Sorrel, LowerFrontShareIsCaughtByTheShare) {
  const Outcome outcome = check("sorrel", "candidate_bad_front_share");
  EXPECT_EQ(outcome.exit_code, 1);
  const Failures failed = failures_of(outcome.run);
  EXPECT_EQ(failed.worst, "front_share");
  EXPECT_TRUE(failed.all.count("front_share in saltmarsh_dry_100"));
}

// Stops get shorter under it: a harness that looks at distance alone would let it pass.
TEST(Sorrel, LargerSensorScaleIsCaughtAlthoughStopsGetShorter) {
  const Outcome outcome = check("sorrel", "candidate_bad_sensor_scale");
  EXPECT_EQ(outcome.exit_code, 1);
  const Failures failed = failures_of(outcome.run);
  EXPECT_TRUE(failed.worst == "tracking_error" || failed.worst == "peak_deceleration") << failed.worst;
  EXPECT_TRUE(failed.all.count("peak_deceleration in step_hand"));
  EXPECT_TRUE(failed.all.count("tracking_error in saltmarsh_dry_100"));
  expect_less_than_baseline(outcome.run, "saltmarsh_dry_100", "stopping_distance");
}

TEST(Sorrel, LongerDebounceIsCaughtByTheDetectionTime) {
  const Outcome outcome = check("sorrel", "candidate_bad_fault_debounce");
  EXPECT_EQ(outcome.exit_code, 1);
  const Failures failed = failures_of(outcome.run);
  EXPECT_EQ(failed.worst, "fault_detection_time");
  EXPECT_EQ(failed.scenarios,
            (std::set<std::string>{"millrace_lost_request", "millrace_open_track", "millrace_track_offset",
                                   "one_track", "lost_request", "pedal_left"}));
  EXPECT_NEAR(value_of(outcome.run, "millrace_open_track", "fault_detection_time", "value") -
                  value_of(outcome.run, "millrace_open_track", "fault_detection_time", "baseline"),
              80, 1.01);  // ms: the planted 80, a tick of 1 ms either way
}

}  // namespace
}  // namespace brakeward::demo
