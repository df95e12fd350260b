// Every sentence that gives a reason, word for word.
#include <gtest/gtest.h>

#include <limits>

#include "unit/verdict/scenario_builder.h"

namespace brakeward::verdict {
namespace {

std::string reason(const Comparison& c, std::string_view measure) {
  return c.judge(measure).reason;
}

TEST(Reason, ChangeBeyondTheTolerance) {
  Comparison longer = Comparison().value("stopping_distance", measured(41.24));
  longer.baseline("stopping_distance", 40.4).tolerance("stopping_distance", 0.4);
  EXPECT_EQ(reason(longer, "stopping_distance"), "stopping distance grew by 0.84 m; allowed 0.40 m");
  Comparison weaker = Comparison().value("peak_deceleration", measured(9.25));
  weaker.baseline("peak_deceleration", 10).tolerance("peak_deceleration", 0.5);
  EXPECT_EQ(reason(weaker, "peak_deceleration"), "peak deceleration fell by 0.75 m/s^2; allowed 0.50 m/s^2");
  Comparison less = Comparison().value("adhesion_use", measured(0.5));
  less.baseline("adhesion_use", 0.75).tolerance("adhesion_use", 0.125);
  EXPECT_EQ(reason(less, "adhesion_use"), "adhesion use fell by 0.250; allowed 0.125");
}

TEST(Reason, ChangeOfAPercentageIsInPercentagePoints) {
  Comparison balance = Comparison().value("front_share", measured(58));
  balance.baseline("front_share", 60).tolerance("front_share", 1);
  EXPECT_EQ(reason(balance, "front_share"),
            "front share fell by 2.0 percentage points; allowed 1.0 percentage points either way");
}

TEST(Reason, NothingAllowed) {
  Comparison c = stop(40.0009765625);
  c.tolerance("stopping_distance", 0);
  EXPECT_EQ(reason(c, "stopping_distance"),
            "stopping distance grew by 0.001 m; no change for the worse is allowed");
  c.input().tolerances.back().two_sided = true;
  EXPECT_EQ(reason(c, "stopping_distance"), "stopping distance grew by 0.001 m; no change is allowed");
}

TEST(Reason, DigitsAreAddedUntilTheFailureShows) {
  EXPECT_EQ(reason(stop(40.50048828125), "stopping_distance"),
            "stopping distance grew by 0.5005 m; allowed 0.5000 m");
}

TEST(Reason, LimitCrossed) {
  Comparison far = Comparison().value("stopping_distance", measured(70.25));
  far.limit("stopping_distance", -kNoBound, 70, "UN R13-H Annex 3.");
  EXPECT_EQ(reason(far, "stopping_distance"),
            "stopping distance is 70.25 m; the limit is at most 70.00 m (UN R13-H Annex 3)");
  Comparison weak = Comparison().value("peak_deceleration", measured(6.429));
  weak.limit("peak_deceleration", 6.43, kNoBound, "");
  EXPECT_EQ(reason(weak, "peak_deceleration"),
            "peak deceleration is 6.429 m/s^2; the limit is at least 6.430 m/s^2 (no source given)");
}

TEST(Reason, LimitCrossedAndToleranceUsedUp) {
  EXPECT_EQ(
      reason(stop(42).limit("stopping_distance", 0, 41, "house rule"), "stopping_distance"),
      "stopping distance is 42.00 m; the limit is at most 41.00 m (house rule); also, stopping distance grew "
      "by 2.00 m; allowed 0.50 m");
}

TEST(Reason, EventThatNeverCame) {
  Comparison c = Comparison().value("pressure_onset", never()).tolerance("pressure_onset", 10);
  EXPECT_EQ(reason(c, "pressure_onset"), "there is no baseline to compare with");
  c.baseline("stopping_distance", 40);
  EXPECT_EQ(reason(c, "pressure_onset"), "the baseline has no value for it");
  c.baseline("pressure_onset", std::nullopt);
  EXPECT_EQ(reason(c, "pressure_onset"), "the event never came, nor did it in the baseline");
  c.baseline("pressure_onset", 182);
  EXPECT_EQ(reason(c, "pressure_onset"), "pressure onset never came; the baseline had 182 ms");
  c.limit("pressure_onset", -kNoBound, 200, "house rule");
  EXPECT_EQ(reason(c, "pressure_onset"),
            "pressure onset never came; the limit is at most 200 ms (house rule)");
  Comparison weak = Comparison().value("peak_deceleration", never());
  weak.limit("peak_deceleration", 6.43, kNoBound, "house rule");
  EXPECT_EQ(reason(weak, "peak_deceleration"),
            "peak deceleration never came; the limit is at least 6.43 m/s^2 (house rule)");
}

TEST(Reason, EventTheBaselineLacked) {
  Comparison c = Comparison().value("pressure_onset", measured(182)).tolerance("pressure_onset", 10);
  EXPECT_EQ(
      reason(c.baseline("pressure_onset", std::nullopt), "pressure_onset"),
      "pressure onset is 182 ms but never came in the baseline; approve a new baseline to have it judged");
}

TEST(Reason, NotJudged) {
  Comparison c = Comparison().value("stopping_distance", measured(40)).baseline("stopping_distance", 40);
  EXPECT_EQ(reason(c, "stopping_distance"), "no tolerance for this class of scenario");
  c.tolerance("stopping_distance", 1);
  c.input().tolerances[0].not_judged = true;
  EXPECT_EQ(reason(c, "stopping_distance"),
            "shown but not judged in this class of scenario: no reason given");
  c.input().tolerances[0].source = "the stop ends at a wall.";
  EXPECT_EQ(reason(c, "stopping_distance"),
            "shown but not judged in this class of scenario: the stop ends at a wall");
  c.limit("stopping_distance", 0, 50);
  EXPECT_EQ(reason(c, "stopping_distance"),
            "within its limit; shown but not judged in this class of scenario: the stop ends at a wall");
}

TEST(Reason, NotShown) {
  Comparison c = Comparison().value("pressure_onset", not_shown("")).tolerance("pressure_onset", 10);
  EXPECT_EQ(reason(c, "pressure_onset"), "the replay does not show it");
  c.value("pressure_onset", not_shown("no pressure was logged")).baseline("pressure_onset", 182);
  EXPECT_EQ(reason(c, "pressure_onset"),
            "pressure onset was in the baseline but not in this replay: no pressure was logged");
  c.limit("pressure_onset", 0, 200);
  EXPECT_EQ(reason(c, "pressure_onset"),
            "the limit of pressure onset could not be judged: no pressure was logged");
}

TEST(Reason, Broken) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(reason(stop(nan), "stopping_distance"),
            "stopping distance came out as a value that is not finite; the replay broke down");
  EXPECT_EQ(reason(stop(40).baseline("stopping_distance", nan), "stopping_distance"),
            "baseline or tolerance of stopping distance is not a finite number; correct it");
  EXPECT_EQ(reason(stop(40).limit("stopping_distance", nan, 50), "stopping_distance"),
            "the limit of stopping distance is not a number; correct it in the scenario");
}

TEST(Reason, OfTrustInTheAbsenceOfOne) {
  Comparison c = stop(40);
  c.input().trust.calibration_bypassed = true;
  EXPECT_EQ(reason(c, "stopping_distance"),
            "the recorded pressure is replayed, so that the calibration has no part in it");
  c.input().trust = {false, true, false, ""};
  EXPECT_EQ(reason(c, "stopping_distance"),
            "the replay does not reproduce the recording well enough to judge by");
}

TEST(Reason, OnlyAPlainPassHasNone) {
  EXPECT_EQ(reason(stop(40), "stopping_distance"), "");
  for (const MeasureResult& m : stop(45).judge().measures) EXPECT_NE(m.reason, "") << m.measure;
}

}  // namespace
}  // namespace brakeward::verdict
