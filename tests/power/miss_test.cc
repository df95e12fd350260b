#include "power/miss.h"

#include <gtest/gtest.h>

namespace brakeward::power {
namespace {

// A run of one measure with these shares of its tolerance, a scenario each.
verdict::Run run_of(std::initializer_list<double> shares) {
  verdict::Run run;
  for (const double share : shares) {
    verdict::MeasureResult m;
    m.measure = "stopping_distance";
    m.baseline = 40;
    m.value = 40 + share;
    m.tolerance_used = share;
    verdict::ScenarioResult s;
    s.scenario = "stop_" + std::to_string(run.scenarios.size());
    s.measures.push_back(m);
    run.scenarios.push_back(s);
  }
  return run;
}

TEST(Miss, IsUnseenWhereNoNumberMoves) {
  EXPECT_EQ(explain_miss(run_of({0, 0})).miss, Miss::kUnseen);
}

TEST(Miss, IsWithinTheTolerancesAndNamesTheLargestShare) {
  const Explanation why = explain_miss(run_of({0.2, 0.84, -0.9}));
  EXPECT_EQ(why.miss, Miss::kWithin);
  EXPECT_EQ(why.text, "at most 84 %, stopping_distance of stop_1");
  EXPECT_EQ(explain_miss(run_of({0, -0.5})).text, "better, at most by 50 %, stopping_distance of stop_1");
}

TEST(Miss, IsForTheBetterBeyondATolerance) {
  const Explanation why = explain_miss(run_of({0.5, -2.5}));
  EXPECT_EQ(why.miss, Miss::kForTheBetter);
  EXPECT_EQ(why.text, "better by 250 % of the tolerance in stopping_distance of stop_1");
}

TEST(Miss, IsNotJudgedWhereNoToleranceApplies) {
  verdict::Run run = run_of({0.5});
  run.scenarios[0].measures[0].tolerance_used.reset();
  EXPECT_EQ(explain_miss(run).miss, Miss::kNotJudged);
}

}  // namespace
}  // namespace brakeward::power
