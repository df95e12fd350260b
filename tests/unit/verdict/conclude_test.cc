#include <gtest/gtest.h>

#include <initializer_list>

#include "verdict/tolerance.h"

namespace brakeward::verdict {
namespace {

Verdict concluded(RunState state, std::initializer_list<Verdict> verdicts) {
  Run run;
  run.state = state;
  run.verdict = Verdict::kError;  // left over; must not matter
  for (const Verdict v : verdicts) run.scenarios.emplace_back().verdict = v;
  conclude(run);
  return run.verdict;
}

TEST(Conclude, TakesTheWorstOfTheScenarios) {
  const auto done = [](std::initializer_list<Verdict> v) { return concluded(RunState::kCompleted, v); };
  EXPECT_EQ(done({Verdict::kPass, Verdict::kPass}), Verdict::kPass);
  EXPECT_EQ(done({Verdict::kPass, Verdict::kNone}), Verdict::kPass);
  EXPECT_EQ(done({Verdict::kPass, Verdict::kInconclusive}), Verdict::kInconclusive);
  EXPECT_EQ(done({Verdict::kFail, Verdict::kInconclusive}), Verdict::kFail);
  EXPECT_EQ(done({Verdict::kFail, Verdict::kError, Verdict::kPass}), Verdict::kError);
}

TEST(Conclude, NothingJudgedIsInconclusive) {
  EXPECT_EQ(concluded(RunState::kCompleted, {}), Verdict::kInconclusive);
  EXPECT_EQ(concluded(RunState::kCompleted, {Verdict::kNone}), Verdict::kInconclusive);
}

TEST(Conclude, ARunCutShortNeverPasses) {
  for (const RunState state : {RunState::kCancelled, RunState::kAborted}) {
    EXPECT_EQ(concluded(state, {Verdict::kPass}), Verdict::kInconclusive);
    EXPECT_EQ(concluded(state, {Verdict::kPass, Verdict::kFail}), Verdict::kFail);
  }
}

}  // namespace
}  // namespace brakeward::verdict
