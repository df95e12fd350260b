#include "metrics/result_metrics.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <atomic>
#include <limits>
#include <thread>

#include "unit/metrics/golden.h"
#include "unit/metrics/sample_builds.h"

namespace brakeward::metrics {
namespace {

using testing::HasSubstr;
using testing::Not;

std::string verdict_series(const std::string& build, const std::string& word,
                           const std::string& library = "juniper") {
  return "brakeward_verdict{library=\"" + library + "\",build=\"" + build + "\",verdict=\"" + word + "\"}";
}

TEST(ResultMetrics, ReadsAsTheGoldenPage) {
  ResultMetrics metrics;
  ASSERT_TRUE(metrics.set("juniper", {golden_build("b2", 0.25), golden_build("b1", 0)}, std::nullopt).ok());
  expect_golden(metrics.page(), "results.prom");
}

TEST(ResultMetrics, HostileNamesReadAsTheGoldenPage) {
  const auto page = result_page(event_build(
      "a \"quoted\" \\ car\n", "Zürich \xff\xC0\x80\xED\xA0\x80 {build=\"b1\"} 1",
      {scenario(std::string("zero\0 and\r\x7F", 11), {measured("stopping_distance", 61.5, 61, 2)})}));
  ASSERT_TRUE(page.ok());
  expect_golden(*page, "hostile.prom");
}

TEST(ResultMetrics, APageOfOneRunHasNoDrift) {
  const auto page = result_page(golden_build("b1", 0));
  ASSERT_TRUE(page.ok());
  EXPECT_THAT(*page, Not(HasSubstr("drift")));
  EXPECT_EQ(value_on(*page, verdict_series("b1", "pass")), "1");
  EXPECT_EQ(value_on(*page, verdict_series("b1", "fail")), "0");
}

TEST(ResultMetrics, AVariantIsNeverShown) {
  verdict::Run variant = golden_build("", 0);
  variant.run_id = "r-17";
  variant.calibration_name = "softer bite";
  const auto page = result_page(variant);
  EXPECT_EQ(page.status().code(), absl::StatusCode::kInvalidArgument);
  EXPECT_EQ(
      page.status().message(),
      "run r-17 of calibration softer bite is a variant; metrics show event builds only: mark the run as "
      "an event build");
  ResultMetrics metrics;
  ASSERT_TRUE(metrics.set("juniper", {golden_build("b1", 0)}, std::nullopt).ok());
  const std::string before = metrics.page();
  verdict::Run elsewhere = full_build("rowan", "b9", 1);
  const absl::Status status = metrics.set("juniper", {variant, elsewhere}, std::nullopt);
  EXPECT_EQ(status.code(), absl::StatusCode::kInvalidArgument);
  EXPECT_THAT(std::string(status.message()), HasSubstr("r-17"));
  EXPECT_THAT(std::string(status.message()), HasSubstr("event build b9 is of library rowan, not of juniper"));
  EXPECT_EQ(metrics.page(), before);
}

TEST(ResultMetrics, ARunOfNoLibraryIsRefused) {
  EXPECT_EQ(result_page(full_build("", "b1", 1)).status().message(),
            "the run names no library; metrics tell builds apart by it");
}

TEST(ResultMetrics, ShowsTheNewestFiveAndTheAnchor) {
  std::vector<verdict::Run> builds;
  for (const char* name : {"b9", "b8", "b8", "b7", "b6", "b5", "b4", "b3"})
    builds.push_back(golden_build(name, 0));
  builds[2].verdict = verdict::Verdict::kFail;  // an older run of b8
  ResultMetrics metrics;
  ASSERT_TRUE(metrics.set("juniper", builds, golden_build("b1", 0)).ok());
  const std::string page = metrics.page();
  for (const char* shown : {"b9", "b8", "b7", "b6", "b5", "b1"}) {
    EXPECT_EQ(value_on(page, verdict_series(shown, "pass")), "1") << shown;
  }
  for (const char* hidden : {"b4", "b3"}) EXPECT_EQ(value_on(page, verdict_series(hidden, "pass")), "absent");
  // Without an anchor given, the oldest build is it.
  ASSERT_TRUE(metrics.set("juniper", builds, std::nullopt).ok());
  EXPECT_EQ(value_on(metrics.page(), verdict_series("b3", "pass")), "1");
  EXPECT_EQ(value_on(metrics.page(), verdict_series("b1", "pass")), "absent");
  // An anchor among the newest is shown once.
  ASSERT_TRUE(metrics.set("juniper", {golden_build("b1", 0)}, golden_build("b1", 0)).ok());
  auto series = series_of_page(metrics.page());
  EXPECT_EQ(std::adjacent_find(series.begin(), series.end()), series.end());
}

TEST(ResultMetrics, NoSeriesGoesStale) {
  ResultMetrics metrics;
  ASSERT_TRUE(metrics.set("juniper", {full_build("juniper", "b1", 3)}, std::nullopt).ok());
  ASSERT_TRUE(metrics.set("rowan", {full_build("rowan", "b1", 1)}, std::nullopt).ok());
  ASSERT_TRUE(metrics.set("juniper", {full_build("juniper", "b2", 1)}, std::nullopt).ok());
  EXPECT_THAT(metrics.page(), Not(HasSubstr("stop_2")));
  EXPECT_EQ(value_on(metrics.page(), verdict_series("b1", "pass")), "absent");
  EXPECT_EQ(value_on(metrics.page(), verdict_series("b1", "pass", "rowan")), "1");
  ASSERT_TRUE(metrics.set("juniper", {}, std::nullopt).ok());
  EXPECT_THAT(metrics.page(), Not(HasSubstr("juniper")));
  ASSERT_TRUE(metrics.set("rowan", {}, std::nullopt).ok());
  EXPECT_EQ(metrics.page(), "");
}

TEST(ResultMetrics, WhatHasNoFiniteValueHasNoSeries) {
  verdict::MeasureResult never = measured("stopping_distance", 1, 61, 2);
  never.value.reset();
  verdict::MeasureResult broken = measured("stopping_time", 1, 3, 2);
  broken.value = std::numeric_limits<double>::quiet_NaN();
  broken.tolerance_used = std::numeric_limits<double>::infinity();
  const auto page = result_page(
      event_build("juniper", "b1", {scenario("stop", {never, broken, measured("of_another_age", 1, 1, 1)})}));
  ASSERT_TRUE(page.ok());
  EXPECT_THAT(*page, Not(HasSubstr("# TYPE brakeward_distance_meters gauge")));
  EXPECT_THAT(*page, HasSubstr("brakeward_distance_meters_baseline{"));
  EXPECT_THAT(*page, Not(HasSubstr("# TYPE brakeward_delay_seconds gauge")));
  EXPECT_THAT(*page, Not(testing::ContainsRegex("[Nn]a[Nn]|[Ii]nf|another_age")));
}

TEST(ResultMetrics, NamesThatReadTheSameAreShownOnce) {
  const verdict::Run run = event_build("juniper", "b1",
                                       {scenario("stop \xfe", {measured("stopping_distance", 1, 1, 1),
                                                               measured("stopping_distance", 3, 1, 1)}),
                                        scenario("stop \xff", {measured("stopping_distance", 2, 1, 1)})});
  const auto page = result_page(run);
  ASSERT_TRUE(page.ok());
  EXPECT_EQ(value_on(*page,
                     "brakeward_distance_meters{library=\"juniper\",build=\"b1\",scenario=\"stop "
                     "\xEF\xBF\xBD\",measure=\"stopping_distance\"}"),
            "1");
  EXPECT_EQ(series_of_page(*page).size(), 5u + 1 + 3);
}

// A page taken while a library is set again shows one state or the other, never a mixture.
TEST(ResultMetrics, APageIsNeverHalf) {
  ResultMetrics metrics;
  const std::vector<verdict::Run> one = {full_build("juniper", "b1", 2)};
  const std::vector<verdict::Run> other = {full_build("juniper", "b2", 5)};
  ASSERT_TRUE(metrics.set("juniper", one, std::nullopt).ok());
  const std::string first = metrics.page();
  ASSERT_TRUE(metrics.set("juniper", other, std::nullopt).ok());
  const std::string second = metrics.page();
  std::atomic<bool> done = false;
  std::thread writer([&] {
    for (int i = 0; i < 50; ++i) EXPECT_TRUE(metrics.set("juniper", i % 2 ? one : other, std::nullopt).ok());
    done = true;
  });
  while (!done) {
    const std::string page = metrics.page();
    EXPECT_TRUE(page == first || page == second);
  }
  writer.join();
}

}  // namespace
}  // namespace brakeward::metrics
