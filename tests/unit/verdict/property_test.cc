// Properties of the verdict that hold for any numbers, over seeded random ones.
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "unit/verdict/scenario_builder.h"

namespace brakeward::verdict {
namespace {

constexpr int kCases = 5000;

// A measure, a baseline, a candidate and a tolerance of everyday size. Raw bits scaled by hand: distributions
// differ between libraries.
struct Case {
  std::string measure;
  double baseline, value;
  Tolerance tolerance;
  double spread;

  Comparison comparison() const {
    Comparison c = Comparison().value(measure, measured(value)).baseline(measure, baseline, spread);
    c.input().tolerances.push_back(tolerance);
    return c;
  }
  MeasureResult judge() const { return comparison().judge(measure); }
};

class Cases {
 public:
  double unit() { return std::ldexp(static_cast<double>(bits_() >> 11), -53); }

  Case next() {
    Case c;
    c.measure = std::string(measure::catalogue()[bits_() % measure::catalogue().size()].name);
    c.baseline = 100 * unit() - 20;
    c.value = c.baseline + 4 * unit() - 2;
    c.spread = unit() / 4;
    c.tolerance = {c.measure,  unit(),           unit() / 50, 3 * unit(),
                   unit() / 2, bits_() % 4 == 0, false,       "invented"};
    return c;
  }

 private:
  std::mt19937_64 bits_{77};
};

TEST(Property, AWiderToleranceNeverTurnsAPassIntoAFail) {
  Cases cases;
  int passes = 0, fails = 0;
  for (int i = 0; i < kCases; ++i) {
    Case c = cases.next();
    const MeasureResult before = c.judge();
    double* const parts[] = {&c.tolerance.effect, &c.tolerance.effect_ratio, &c.tolerance.spread_factor,
                             &c.tolerance.floor, &c.spread};
    *parts[i % 5] += cases.unit();
    const MeasureResult after = c.judge();
    ASSERT_LE(after.verdict, before.verdict);
    ASSERT_LE(std::fabs(*after.tolerance_used), std::fabs(*before.tolerance_used));
    ++(before.verdict == Verdict::kPass ? passes : fails);
  }
  EXPECT_GT(passes, kCases / 10) << "the cases must meet both verdicts";
  EXPECT_GT(fails, kCases / 10);
}

TEST(Property, AWorseValueNeverTurnsAFailIntoAPass) {
  Cases cases;
  for (int i = 0; i < kCases; ++i) {
    Case c = cases.next();
    const MeasureResult before = c.judge();
    const measure::Worse worse =
        measure::catalogue()[static_cast<size_t>(*measure::find_measure(c.measure))].worse;
    const bool both_ways = c.tolerance.two_sided || worse == measure::Worse::kEither;
    const double away = both_ways                          ? (c.value >= c.baseline ? 1 : -1)
                        : worse == measure::Worse::kHigher ? 1
                                                           : -1;
    c.value += away * cases.unit();
    ASSERT_GE(c.judge().verdict, before.verdict) << c.measure;
  }
}

TEST(Property, VerdictAndToleranceUsedAgree) {
  Cases cases;
  for (int i = 0; i < kCases; ++i) {
    const MeasureResult r = cases.next().judge();
    ASSERT_EQ(r.verdict == Verdict::kFail, *r.tolerance_used > 1);
    ASSERT_EQ(r.verdict == Verdict::kPass, r.reason.empty());
  }
}

TEST(Property, MirroredInputsGiveTheMirroredVerdictWhereBothWaysCount) {
  Cases cases;
  for (int i = 0; i < kCases; ++i) {
    Case c = cases.next();
    c.tolerance.two_sided = true;
    const MeasureResult before = c.judge();
    c.baseline = -c.baseline;
    c.value = -c.value;
    ASSERT_EQ(c.judge().verdict, before.verdict);
    ASSERT_EQ(c.judge().tolerance_used, before.tolerance_used);
  }
}

TEST(Property, ALimitCanOnlyMakeAJudgedMeasureWorse) {
  Cases cases;
  for (int i = 0; i < kCases; ++i) {
    const Case c = cases.next();
    Comparison limited = c.comparison();
    limited.limit(c.measure, -kNoBound, c.baseline + 2 * cases.unit() - 1);
    ASSERT_GE(limited.judge(c.measure).verdict, c.judge().verdict);
  }
}

}  // namespace
}  // namespace brakeward::verdict
