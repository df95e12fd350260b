// Drift as it shows on the page.
#include <gtest/gtest.h>

#include "metrics/result_metrics.h"
#include "unit/metrics/sample_builds.h"

namespace brakeward::metrics {
namespace {

using verdict::MeasureResult;
using verdict::Verdict;

std::string page_of(const std::vector<verdict::Run>& builds, const verdict::Run& anchor) {
  ResultMetrics metrics;
  EXPECT_TRUE(metrics.set("juniper", builds, anchor).ok());
  return metrics.page();
}

verdict::Run build(std::string_view name, std::vector<verdict::ScenarioResult> scenarios) {
  return event_build("juniper", name, std::move(scenarios));
}

// Drift of one scenario with one measure: value now, value of the anchor, change allowed now.
std::string drift_of(std::string_view measure, double now, double then, double allowed) {
  MeasureResult m = measured(measure, now, now, 1);
  m.allowed_change = allowed;
  const std::string page = page_of({build("b2", {scenario("stop", {m})})},
                                   build("b1", {scenario("stop", {measured(measure, then, then, 1)})}));
  return value_on(page, "brakeward_drift_ratio{library=\"juniper\",build=\"b2\",measure=\"" +
                            std::string(measure) + "\"}");
}

TEST(Drift, IsTheChangeForTheWorseOverTheAllowedOne) {
  EXPECT_EQ(drift_of("stopping_distance", 63, 60, 2), "1.5");   // higher is worse
  EXPECT_EQ(drift_of("stopping_distance", 59, 60, 2), "-0.5");  // better
  EXPECT_EQ(drift_of("peak_deceleration", 8, 9, 2), "0.5");     // lower is worse
  EXPECT_EQ(drift_of("peak_deceleration", 10, 9, 2), "-0.5");
  EXPECT_EQ(drift_of("front_share", 57, 60, 2), "1.5");  // either way is worse
  EXPECT_EQ(drift_of("front_share", 63, 60, 2), "1.5");
}

TEST(Drift, WhereNothingIsAllowed) {
  EXPECT_EQ(drift_of("locked_time_front", 40, 0, 0), "1000000000000");
  EXPECT_EQ(drift_of("locked_time_front", 0, 0, 0), "0");
  EXPECT_EQ(drift_of("locked_time_front", 0, 40, 0), "0");
}

const std::string kDistance =
    "brakeward_drift_ratio{library=\"juniper\",build=\"b2\",measure=\"stopping_distance\"}";
const std::string kNotCompared = "brakeward_drift_builds_not_compared{library=\"juniper\"}";

verdict::ScenarioResult stop(std::string_view name, double distance) {
  return scenario(name, {measured("stopping_distance", distance, distance, 2)});
}

TEST(Drift, TakesTheLargestOverTheScenarios) {
  const verdict::Run anchor = build("b1", {stop("dry", 60), stop("wet", 80), stop("snow", 90)});
  EXPECT_EQ(value_on(page_of({build("b2", {stop("dry", 59), stop("wet", 81), stop("snow", 90)})}, anchor),
                     kDistance),
            "0.5");
  EXPECT_EQ(value_on(page_of({build("b2", {stop("dry", 59), stop("wet", 79.5)})}, anchor), kDistance),
            "-0.25");
  EXPECT_EQ(value_on(page_of({build("b2", {stop("new", 99)})}, anchor), kDistance), "absent");
}

// A chain of steps, each within its tolerance against the build before it, adds up.
TEST(Drift, SmallStepsAddUp) {
  std::vector<verdict::Run> builds;
  for (int i = 4; i >= 1; --i) {
    const double before = 60 + 1.5 * (i - 1);
    builds.push_back(build("b" + std::to_string(i),
                           {scenario("dry", {measured("stopping_distance", before + 1.5, before, 2)})}));
  }
  const std::string page = page_of(builds, build("b0", {stop("dry", 60)}));
  EXPECT_EQ(value_on(page,
                     "brakeward_tolerance_used_ratio{library=\"juniper\",build=\"b4\",scenario=\"dry\","
                     "measure=\"stopping_distance\"}"),
            "0.75");
  EXPECT_EQ(
      value_on(page, "brakeward_drift_ratio{library=\"juniper\",build=\"b4\",measure=\"stopping_distance\"}"),
      "3");
  EXPECT_EQ(
      value_on(page, "brakeward_drift_ratio{library=\"juniper\",build=\"b0\",measure=\"stopping_distance\"}"),
      "0");
}

TEST(Drift, OnlyWithinOneVehicleAndNumericsVersion) {
  const verdict::Run anchor = build("b1", {stop("dry", 60)});
  verdict::Run now = build("b2", {stop("dry", 63)}), heavier = now, renumbered = now;
  heavier.event_build = "b3";
  heavier.vehicle_sha256 = "beef";
  renumbered.event_build = "b4";
  renumbered.numerics_version = 4;
  const std::string page = page_of({renumbered, heavier, now}, anchor);
  EXPECT_EQ(value_on(page, kDistance), "1.5");
  EXPECT_EQ(page.find("brakeward_drift_ratio{library=\"juniper\",build=\"b3\""), page.npos);
  EXPECT_EQ(page.find("brakeward_drift_ratio{library=\"juniper\",build=\"b4\""), page.npos);
  EXPECT_EQ(value_on(page, kNotCompared), "2");
  EXPECT_EQ(value_on(page_of({now}, anchor), kNotCompared), "0");
}

TEST(Drift, OnlyWhatWasJudged) {
  const verdict::Run anchor = build("b1", {stop("dry", 60)});
  for (const Verdict v : {Verdict::kNone, Verdict::kInconclusive, Verdict::kError}) {
    verdict::Run now = build("b2", {stop("dry", 63)});
    now.scenarios[0].measures[0].verdict = v;
    EXPECT_EQ(value_on(page_of({now}, anchor), kDistance), "absent") << word(v);
  }
  verdict::Run now = build("b2", {stop("dry", 63)});
  now.scenarios[0].measures[0].verdict = Verdict::kFail;
  EXPECT_EQ(value_on(page_of({now}, anchor), kDistance), "1.5");
  now.scenarios[0].measures[0].allowed_change.reset();
  EXPECT_EQ(value_on(page_of({now}, anchor), kDistance), "absent");
  verdict::Run lost = anchor;
  lost.scenarios[0].measures[0].value.reset();
  EXPECT_EQ(value_on(page_of({build("b2", {stop("dry", 63)})}, lost), kDistance), "absent");
}

}  // namespace
}  // namespace brakeward::metrics
