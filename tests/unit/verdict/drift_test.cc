// Drift by hand arithmetic, on the catalogue of small_catalogue.cc.
#include "verdict/drift.h"

#include <gtest/gtest.h>

namespace brakeward::verdict {
namespace {

constexpr double kTolerance = 2;

std::vector<DriftBuild> builds(size_t count) {
  std::vector<DriftBuild> out;
  for (size_t i = 1; i <= count; ++i) out.push_back({"b" + std::to_string(i), "2026-01-01", "c", "s"});
  return out;
}

DriftInput input(const std::string& measure, const std::vector<double>& values) {
  DriftInput in;
  in.scenario = "stop";
  in.info = &measure::catalogue()[static_cast<size_t>(*measure::find_measure(measure))];
  in.two_sided = in.info->worse == measure::Worse::kEither;
  for (const double v : values) {
    MeasureResult r;
    r.measure = measure;
    r.value = v;
    r.allowed_change = kTolerance;
    r.verdict = Verdict::kPass;
    in.results.push_back(r);
  }
  return in;
}

DriftSeries judged(const DriftInput& in) {
  const auto series = judge_drift(in, builds(in.results.size()));
  EXPECT_TRUE(series.has_value());
  return series.value_or(DriftSeries());
}

TEST(Drift, AddsUpStepsThatEachPass) {
  const DriftSeries s = judged(input("stopping_distance", {40, 40.9, 41.3, 42.5}));
  EXPECT_EQ(s.verdict, Verdict::kFail);
  EXPECT_NEAR(*s.steps[1].step, 0.45, 1e-12);
  EXPECT_NEAR(*s.steps[2].sum, 0.65, 1e-12);
  EXPECT_NEAR(*s.sum, 1.25, 1e-12);
  EXPECT_NEAR(*s.drift_used, 1.25, 1e-12);
  EXPECT_EQ(
      s.reason,
      "stopping distance worsened by 2.50 m since b1; allowed drift 2.00 m; most of it came with b4 (1.20) "
      "and b2 (0.90)");
}

TEST(Drift, AnImprovementIsNoCreditForWhatComesAfterIt) {
  const DriftSeries lost = judged(input("stopping_distance", {40, 37, 38.5, 39.5}));
  EXPECT_EQ(lost.verdict, Verdict::kFail) << "2.5 m worse than b2, although better than b1";
  EXPECT_NE(lost.reason.find("since b2"), std::string::npos) << lost.reason;
  EXPECT_EQ(*lost.steps[1].sum, 0);
  const DriftSeries made_up = judged(input("stopping_distance", {40, 41.5, 40, 41.5}));
  EXPECT_EQ(made_up.verdict, Verdict::kPass) << "an improvement makes up for what was lost before it";
  EXPECT_NEAR(*made_up.sum, 0.75, 1e-12);
}

TEST(Drift, CountsWhatIsLowerWhereLowerIsWorse) {
  EXPECT_EQ(judged(input("peak_deceleration", {9, 8, 6.9})).verdict, Verdict::kFail);
  EXPECT_EQ(judged(input("peak_deceleration", {9, 10, 11.5})).verdict, Verdict::kPass);
}

TEST(Drift, SumsWithSignWhereEitherWayCounts) {
  EXPECT_EQ(judged(input("front_share", {60, 61.5, 60, 61.5})).verdict, Verdict::kPass);
  const DriftSeries down = judged(input("front_share", {60, 61, 59.5, 57.5}));
  EXPECT_EQ(down.verdict, Verdict::kFail);
  EXPECT_NEAR(*down.sum, -1.25, 1e-12);
  EXPECT_NEAR(*down.drift_used, 1.25, 1e-12);
  EXPECT_NE(down.reason.find("fell by 2.5 percentage points since b1"), std::string::npos) << down.reason;
}

TEST(Drift, IsAllowedByFactorOrAmount) {
  DriftInput in = input("stopping_distance", {40, 41.5, 43});
  EXPECT_EQ(judged(in).verdict, Verdict::kFail);
  in.allowance.factor = 1.5;
  EXPECT_EQ(judged(in).verdict, Verdict::kPass) << "on the bound holds";
  in.allowance.amount = 2.9;
  const DriftSeries s = judged(in);
  EXPECT_EQ(s.verdict, Verdict::kFail);
  EXPECT_EQ(*s.drift_tolerance, 2.9);
}

TEST(Drift, NeedsAValueInEveryBuild) {
  DriftInput lost = input("pressure_onset", {100, 101, 102});
  lost.results[2].value.reset();
  lost.results[2].verdict = Verdict::kFail;
  lost.results[2].reason = "pressure onset never came; the baseline had 100 ms";
  EXPECT_EQ(judged(lost).verdict, Verdict::kFail);
  EXPECT_EQ(judged(lost).reason, "b3: pressure onset never came; the baseline had 100 ms");
  std::swap(lost.results[1], lost.results[2]);
  EXPECT_EQ(judged(lost).verdict, Verdict::kInconclusive);
  DriftInput unfit = input("pressure_onset", {100, 101, 102});
  unfit.results[1].verdict = Verdict::kInconclusive;
  unfit.results[1].reason = "no trust";
  EXPECT_EQ(judged(unfit).verdict, Verdict::kInconclusive);
  EXPECT_EQ(judged(unfit).reason, "b2: no trust");
}

TEST(Drift, LeavesOutWhatNoBuildWasJudgedBy) {
  DriftInput in = input("pressure_onset", {100, 101});
  for (MeasureResult& r : in.results) r.verdict = Verdict::kNone;
  EXPECT_FALSE(judge_drift(in, builds(2)).has_value());
}

TEST(Drift, ConcludesTheWorstAndNothingIsInconclusive) {
  Drift drift;
  conclude(drift);
  EXPECT_EQ(drift.verdict, Verdict::kInconclusive);
  drift.series = {judged(input("front_share", {60, 60})), judged(input("front_share", {60, 63}))};
  conclude(drift);
  EXPECT_EQ(drift.verdict, Verdict::kFail);
}

// For any walk: the judged sum is never below the change from the first build, and a wider allowance never
// turns a pass into a fail.
TEST(Drift, NeverHidesAChangeFromTheFirstBuild) {
  unsigned state = 7;
  for (int round = 0; round < 500; ++round) {
    std::vector<double> values = {40};
    for (int i = 0; i < 6; ++i) {
      state = state * 1664525u + 1013904223u;
      values.push_back(values.back() + static_cast<double>(state >> 16) / 65536 - 0.5);
    }
    DriftInput in = input("stopping_distance", values);
    const DriftSeries s = judged(in);
    ASSERT_GE(*s.sum * kTolerance, values.back() - values.front() - 1e-12);
    in.allowance.factor = 2;
    ASSERT_LE(judged(in).verdict, s.verdict);
  }
}

}  // namespace
}  // namespace brakeward::verdict
