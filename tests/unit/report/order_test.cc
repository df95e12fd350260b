#include "report/order.h"

#include <gtest/gtest.h>

#include <limits>

#include "verdict/tolerance.h"

namespace brakeward::report {
namespace {

using verdict::MeasureResult;
using verdict::ScenarioResult;
using verdict::Verdict;

MeasureResult judged(std::string name, Verdict v, std::optional<double> used) {
  MeasureResult m;
  m.measure = std::move(name);
  m.verdict = v;
  m.tolerance_used = used;
  return m;
}

TEST(Order, MeasuresBySeverityThenToleranceUsedThenName) {
  ScenarioResult s;
  s.measures = {judged("b", Verdict::kPass, 0.5),
                judged("a", Verdict::kPass, 0.5),
                judged("better", Verdict::kPass, -3),
                judged("limit_only", Verdict::kPass, {}),
                judged("fail_a", Verdict::kFail, 1.5),
                judged("fail_limit", Verdict::kFail, {}),
                judged("fail_b", Verdict::kFail, 9),
                judged("fail_nothing", Verdict::kFail, verdict::kNothingAllowed),
                judged("none", Verdict::kNone, {}),
                judged("error", Verdict::kError, {}),
                judged("inc", Verdict::kInconclusive, std::numeric_limits<double>::quiet_NaN())};
  std::vector<std::string> names;
  for (const MeasureResult* m : ordered_measures(s)) names.push_back(m->measure);
  EXPECT_EQ(names, (std::vector<std::string>{"error", "fail_nothing", "fail_b", "fail_a", "fail_limit", "inc",
                                             "a", "b", "better", "limit_only", "none"}));
}

TEST(Order, ScenariosBySeverityThenToleranceUsedThenName) {
  verdict::Run run;
  const auto add = [&](std::string name, Verdict v, double used) {
    ScenarioResult& s = run.scenarios.emplace_back();
    s.scenario = std::move(name);
    s.verdict = v;
    s.measures = {judged("m", v, used - 1), judged("n", v, used)};
  };
  add("z_pass", Verdict::kPass, 0.9);
  add("b_fail", Verdict::kFail, 2);
  add("a_fail", Verdict::kFail, 2);
  add("c_fail", Verdict::kFail, 3);
  add("a_pass", Verdict::kPass, 0.1);
  ScenarioResult& broken = run.scenarios.emplace_back();
  broken.scenario = "broken";
  broken.verdict = Verdict::kError;
  std::vector<std::string> names;
  for (const ScenarioResult* s : ordered_scenarios(run)) names.push_back(s->scenario);
  EXPECT_EQ(names, (std::vector<std::string>{"broken", "c_fail", "a_fail", "b_fail", "z_pass", "a_pass"}));
}

TEST(Form, ComesFromTheCatalogue) {
  EXPECT_EQ(form_of("peak_deceleration").unit, "m/s^2");
  EXPECT_EQ(form_of("peak_deceleration").decimals, 2);
  EXPECT_EQ(form_of("squeal").unit, "");
  EXPECT_EQ(form_of("squeal").decimals, 6);
}

}  // namespace
}  // namespace brakeward::report
