#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "unit/verdict/scenario_builder.h"

namespace brakeward::verdict {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

TEST(Compare, PassesOnTheAllowedChangeAndFailsOneBitBeyond) {
  EXPECT_EQ(stop(40.5).judge("stopping_distance").verdict, Verdict::kPass);
  EXPECT_EQ(stop(40.5).judge("stopping_distance").tolerance_used, 1.0);
  const MeasureResult beyond = stop(std::nextafter(40.5, 41)).judge("stopping_distance");
  EXPECT_EQ(beyond.verdict, Verdict::kFail);
  EXPECT_GT(*beyond.tolerance_used, 1.0);
  EXPECT_EQ(*beyond.value, std::nextafter(40.5, 41)) << "values are never rounded";
}

TEST(Compare, CountsOnlyTheWorseDirection) {
  EXPECT_EQ(stop(30).judge("stopping_distance").verdict, Verdict::kPass);
  EXPECT_EQ(stop(30).judge("stopping_distance").tolerance_used, -20.0);
  Comparison lower;
  lower.baseline("peak_deceleration", 10).tolerance("peak_deceleration", 0.5);
  EXPECT_EQ(lower.value("peak_deceleration", measured(9.5)).judge("peak_deceleration").verdict,
            Verdict::kPass);
  EXPECT_EQ(lower.value("peak_deceleration", measured(9.25)).judge("peak_deceleration").verdict,
            Verdict::kFail);
  EXPECT_EQ(lower.value("peak_deceleration", measured(9.25)).judge("peak_deceleration").tolerance_used, 1.5);
  EXPECT_EQ(lower.value("peak_deceleration", measured(12)).judge("peak_deceleration").verdict,
            Verdict::kPass);
}

TEST(Compare, CountsBothDirectionsOfBalanceAndOfTwoSidedTolerances) {
  Comparison balance;
  balance.baseline("front_share", 60).tolerance("front_share", 1);
  EXPECT_EQ(balance.value("front_share", measured(61)).judge("front_share").verdict, Verdict::kPass);
  EXPECT_EQ(balance.value("front_share", measured(59)).judge("front_share").tolerance_used, 1.0);
  EXPECT_EQ(balance.value("front_share", measured(61.5)).judge("front_share").verdict, Verdict::kFail);
  EXPECT_EQ(balance.value("front_share", measured(58.5)).judge("front_share").verdict, Verdict::kFail);
  Comparison two_sided = stop(39);
  two_sided.input().tolerances[0].two_sided = true;
  EXPECT_EQ(two_sided.judge("stopping_distance").verdict, Verdict::kFail);
  EXPECT_EQ(two_sided.judge("stopping_distance").tolerance_used, 2.0);
}

TEST(Compare, AllowsTheLargestOfTheFourParts) {
  const auto allowed = [](double effect, double ratio, double factor, double floor) {
    Comparison c =
        Comparison().value("stopping_distance", measured(40)).baseline("stopping_distance", -40, 0.25);
    c.input().tolerances.push_back({"stopping_distance", effect, ratio, factor, floor, false, false, ""});
    return *c.judge("stopping_distance").allowed_change;
  };
  EXPECT_EQ(allowed(3, 0.05, 8, 1), 3);      // effect
  EXPECT_EQ(allowed(1, 0.125, 8, 1), 5);     // 0.125 x |-40|
  EXPECT_EQ(allowed(1, 0.05, 16, 1), 4);     // 16 x 0.25
  EXPECT_EQ(allowed(1, 0.05, 2, 2.5), 2.5);  // floor
  EXPECT_EQ(allowed(0, 0, 0, 0), 0);
}

TEST(Compare, WhereNothingIsAllowedAnyChangeForTheWorseFails) {
  const auto judge = [](double value) {
    return Comparison()
        .value("pressure_onset", measured(value))
        .baseline("pressure_onset", 0)
        .tolerance("pressure_onset", 0)
        .judge("pressure_onset");
  };
  EXPECT_EQ(judge(0).verdict, Verdict::kPass);
  EXPECT_EQ(judge(0).tolerance_used, 0.0);
  EXPECT_EQ(judge(-1).verdict, Verdict::kPass);
  EXPECT_EQ(judge(std::numeric_limits<double>::denorm_min()).verdict, Verdict::kFail);
  EXPECT_EQ(judge(1e-9).tolerance_used, kNothingAllowed);
}

TEST(Compare, TheLastToleranceForAMeasureCounts) {
  EXPECT_EQ(stop(41).tolerance("stopping_distance", 2).judge("stopping_distance").verdict, Verdict::kPass);
  EXPECT_EQ(stop(41).tolerance("stopping_distance", 0.25).judge("stopping_distance").tolerance_used, 4.0);
}

TEST(Limits, HoldOnTheBoundAndFailBeyondWhateverTheBaselineSays) {
  EXPECT_EQ(stop(40.25).limit("stopping_distance", -kNoBound, 40.25).judge("stopping_distance").verdict,
            Verdict::kPass);
  const Comparison beyond = stop(40.25).limit("stopping_distance", -kNoBound, 40.125);
  EXPECT_EQ(beyond.judge("stopping_distance").verdict, Verdict::kFail);
  EXPECT_EQ(beyond.judge("stopping_distance").tolerance_used, 0.5);
  Comparison no_baseline;
  no_baseline.value("peak_deceleration", measured(6.0)).limit("peak_deceleration", 6.43, kNoBound);
  EXPECT_EQ(no_baseline.judge("peak_deceleration").verdict, Verdict::kFail);
  no_baseline.value("peak_deceleration", measured(6.43));
  EXPECT_EQ(no_baseline.judge("peak_deceleration").verdict, Verdict::kPass);
}

TEST(Limits, AllOfSeveralCount) {
  Comparison c = stop(40).limit("stopping_distance", -kNoBound, 50).limit("stopping_distance", 45, kNoBound);
  EXPECT_EQ(c.judge("stopping_distance").verdict, Verdict::kFail);
  Comparison other =
      stop(40).limit("stopping_distance", 45, kNoBound).limit("stopping_distance", -kNoBound, 50);
  EXPECT_EQ(other.judge("stopping_distance").verdict, Verdict::kFail);
}

TEST(Limits, AnUnsetBoundIsNoBound) {
  Comparison c =
      Comparison().value("stopping_distance", measured(2e9)).limit("stopping_distance", 0, kNoBound);
  EXPECT_EQ(c.judge("stopping_distance").verdict, Verdict::kPass);
  Comparison none = Comparison().value("stopping_distance", measured(2e9));
  none.limit("stopping_distance", -kNoBound, kNoBound);
  EXPECT_EQ(none.judge("stopping_distance").verdict, Verdict::kNone);
}

TEST(NeverReached, FailsWhereTheBaselineHadItAndIsNoneWhereItLackedItToo) {
  Comparison c;
  c.value("pressure_onset", never()).tolerance("pressure_onset", 10);
  EXPECT_EQ(c.judge("pressure_onset").verdict, Verdict::kNone) << "no baseline";
  c.baseline("pressure_onset", std::nullopt);
  EXPECT_EQ(c.judge("pressure_onset").verdict, Verdict::kNone);
  c.baseline("pressure_onset", 182);
  EXPECT_EQ(c.judge("pressure_onset").verdict, Verdict::kFail);
  EXPECT_FALSE(c.judge("pressure_onset").value);
}

TEST(NeverReached, AnEventTheBaselineLackedIsInconclusive) {
  Comparison c;
  c.value("pressure_onset", measured(182))
      .tolerance("pressure_onset", 10)
      .baseline("pressure_onset", std::nullopt);
  EXPECT_EQ(c.judge("pressure_onset").verdict, Verdict::kInconclusive);
}

TEST(NeverReached, CrossesALimitOnTheWorseSideOnly) {
  Comparison slow = Comparison().value("pressure_onset", never());
  EXPECT_EQ(slow.limit("pressure_onset", -kNoBound, 200).judge("pressure_onset").verdict, Verdict::kFail);
  Comparison early = Comparison().value("pressure_onset", never());
  EXPECT_EQ(early.limit("pressure_onset", 5, kNoBound).judge("pressure_onset").verdict, Verdict::kNone);
  Comparison strong = Comparison().value("peak_deceleration", never());
  EXPECT_EQ(strong.limit("peak_deceleration", -kNoBound, 12).judge("peak_deceleration").verdict,
            Verdict::kNone);
  Comparison weak = Comparison().value("peak_deceleration", never());
  EXPECT_EQ(weak.limit("peak_deceleration", 6.43, kNoBound).judge("peak_deceleration").verdict,
            Verdict::kFail);
}

TEST(NotJudged, WithoutToleranceBaselineOrByDecision) {
  Comparison c = Comparison().value("stopping_distance", measured(99)).baseline("stopping_distance", 40);
  EXPECT_EQ(c.judge("stopping_distance").verdict, Verdict::kNone);
  c.tolerance("stopping_distance", 1);
  EXPECT_EQ(c.judge("stopping_distance").verdict, Verdict::kFail);
  c.input().tolerances[0].not_judged = true;
  EXPECT_EQ(c.judge("stopping_distance").verdict, Verdict::kNone);
  EXPECT_EQ(c.judge("stopping_distance").value, 99.0) << "shown all the same";
  Comparison none = Comparison().value("stopping_distance", measured(99)).tolerance("stopping_distance", 1);
  EXPECT_EQ(none.judge("stopping_distance").verdict, Verdict::kNone);
}

TEST(NotShown, IsNoneUnlessTheBaselineHadItOrALimitAsksForIt) {
  Comparison c = Comparison().value("pressure_onset", not_shown("entered at the pressure"));
  EXPECT_EQ(c.judge("pressure_onset").verdict, Verdict::kNone);
  EXPECT_EQ(c.judge("pressure_onset").reason, "entered at the pressure");
  c.tolerance("pressure_onset", 10).baseline("pressure_onset", 180);
  EXPECT_EQ(c.judge("pressure_onset").verdict, Verdict::kInconclusive);
  Comparison limited = Comparison().value("pressure_onset", not_shown("entered at the pressure"));
  EXPECT_EQ(limited.limit("pressure_onset", 0, 200).judge("pressure_onset").verdict, Verdict::kInconclusive);
}

TEST(Broken, WhatIsNotFiniteIsAnErrorAndNeverAPass) {
  for (const double bad : {kNan, kInfinity, -kInfinity}) {
    EXPECT_EQ(stop(bad).judge("stopping_distance").verdict, Verdict::kError);
    EXPECT_FALSE(stop(bad).judge("stopping_distance").value);
    EXPECT_EQ(stop(bad).judge().verdict, Verdict::kError);
    EXPECT_EQ(stop(40).baseline("stopping_distance", bad).judge("stopping_distance").verdict,
              Verdict::kError);
    EXPECT_EQ(stop(40).tolerance("stopping_distance", bad).judge("stopping_distance").verdict,
              Verdict::kError);
    EXPECT_EQ(stop(bad).limit("stopping_distance", 0, 10).judge("stopping_distance").verdict,
              Verdict::kError);
  }
  EXPECT_EQ(stop(40).limit("stopping_distance", kNan, 100).judge("stopping_distance").verdict,
            Verdict::kError);
  EXPECT_EQ(stop(40).limit("stopping_distance", 0, kNan).judge("stopping_distance").verdict, Verdict::kError);
}

TEST(Broken, AnErrorOutweighsACrossedLimit) {
  Comparison c = stop(40).baseline("stopping_distance", kNan).limit("stopping_distance", 0, 30);
  EXPECT_EQ(c.judge("stopping_distance").verdict, Verdict::kError);
  c.input().trust = {false, true, false, "drift"};
  EXPECT_EQ(c.judge("stopping_distance").verdict, Verdict::kError);
}

TEST(Broken, AMissingValueIsAnError) {
  Comparison c = stop(40);
  c.input().values.pop_back();
  const ScenarioResult result = c.judge();
  ASSERT_EQ(result.measures.size(), 5u);
  EXPECT_EQ(result.measures[4].verdict, Verdict::kError);
  EXPECT_EQ(result.measures[4].reason, "the replay handed over no value for adhesion use");
}

TEST(Unknown, MeasuresAreNamed) {
  const ScenarioResult result =
      stop(40).tolerance("brake_colour", 1).limit("squeal", 0, 1).baseline("old_measure", 3).judge();
  ASSERT_EQ(result.measures.size(), 8u);
  EXPECT_EQ(result.measures[5].measure, "brake_colour");
  EXPECT_EQ(result.measures[5].verdict, Verdict::kError);
  EXPECT_EQ(result.measures[6].measure, "old_measure");
  EXPECT_EQ(result.measures[6].verdict, Verdict::kNone);
  EXPECT_EQ(result.measures[7].measure, "squeal");
  EXPECT_EQ(result.measures[7].verdict, Verdict::kError);
}

TEST(Trust, BypassedMakesEverythingNoneButCrossedLimitsAndErrors) {
  Comparison c = stop(45).limit("peak_deceleration", 6, kNoBound);
  c.value("peak_deceleration", measured(7)).value("adhesion_use", measured(kNan));
  c.input().trust = {true, false, false, "recorded pressure"};
  EXPECT_EQ(c.judge("stopping_distance").verdict, Verdict::kNone);
  EXPECT_EQ(c.judge("stopping_distance").reason, "recorded pressure");
  EXPECT_FALSE(c.judge("stopping_distance").tolerance_used);
  EXPECT_EQ(c.judge("peak_deceleration").verdict, Verdict::kNone);
  EXPECT_EQ(c.judge("adhesion_use").verdict, Verdict::kError);
  c.value("peak_deceleration", measured(5)).value("adhesion_use", not_shown("no"));
  EXPECT_EQ(c.judge("peak_deceleration").verdict, Verdict::kFail);
  EXPECT_EQ(c.judge().verdict, Verdict::kFail);
  c.input().limits.clear();
  EXPECT_EQ(c.judge().verdict, Verdict::kInconclusive) << "nothing judged";
  EXPECT_EQ(c.judge().reason, "nothing was judged: recorded pressure");
}

TEST(Trust, InconclusiveTakesPassAndFailButNotACrossedLimit) {
  Comparison c = stop(45);
  c.value("peak_deceleration", measured(10))
      .baseline("peak_deceleration", 10)
      .tolerance("peak_deceleration", 1);
  c.input().trust = {false, true, false, "the replay drifts from the recording"};
  EXPECT_EQ(c.judge("stopping_distance").verdict, Verdict::kInconclusive);
  EXPECT_EQ(c.judge("stopping_distance").tolerance_used, 10.0);
  EXPECT_EQ(c.judge("peak_deceleration").verdict, Verdict::kInconclusive);
  EXPECT_EQ(c.judge("pressure_onset").verdict, Verdict::kNone);
  EXPECT_EQ(c.judge().verdict, Verdict::kInconclusive);
  EXPECT_EQ(c.judge().reason, "the replay drifts from the recording");
  c.limit("stopping_distance", 0, 42);
  EXPECT_EQ(c.judge("stopping_distance").verdict, Verdict::kFail);
  EXPECT_EQ(c.judge().verdict, Verdict::kFail);
}

TEST(Trust, VehicleInconclusiveTakesOnlyWhatIsReadAtTheVehicle) {
  Comparison c = stop(45);
  c.value("pressure_onset", measured(180)).baseline("pressure_onset", 182).tolerance("pressure_onset", 10);
  c.value("peak_deceleration", measured(5)).limit("peak_deceleration", 6, kNoBound);
  c.input().trust = {false, false, true, "the driver answers the car"};
  EXPECT_EQ(c.judge("stopping_distance").verdict, Verdict::kInconclusive);
  EXPECT_EQ(c.judge("stopping_distance").reason, "the driver answers the car");
  EXPECT_EQ(c.judge("pressure_onset").verdict, Verdict::kPass);
  EXPECT_EQ(c.judge("peak_deceleration").verdict, Verdict::kFail);
  EXPECT_EQ(c.judge().reason, "the driver answers the car");
}

TEST(Scenario, TakesTheWorstVerdictAndIsInconclusiveWithoutAny) {
  EXPECT_EQ(stop(40).judge().verdict, Verdict::kPass);
  EXPECT_EQ(stop(40).judge().reason, "");
  EXPECT_EQ(stop(45).judge().verdict, Verdict::kFail);
  const ScenarioResult nothing = Comparison().judge();
  EXPECT_EQ(nothing.verdict, Verdict::kInconclusive);
  EXPECT_EQ(nothing.reason, "nothing was judged: not part of this test");
}

TEST(Scenario, ResultsComeInCatalogueOrderAndTwiceTheSame) {
  ScenarioResult result;
  compare(stop(45).input(), result);
  compare(stop(45).input(), result);
  ASSERT_EQ(result.measures.size(), measure::catalogue().size());
  for (size_t i = 0; i < result.measures.size(); ++i) {
    EXPECT_EQ(result.measures[i].measure, measure::catalogue()[i].name);
  }
}

}  // namespace
}  // namespace brakeward::verdict
