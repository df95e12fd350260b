// The cap on the series of a page.
#include <gtest/gtest.h>

#include <random>

#include "metrics/result_metrics.h"
#include "unit/metrics/sample_builds.h"

namespace brakeward::metrics {
namespace {

size_t series_on(const std::string& page) {
  return series_of_page(page).size();
}

// Sum of brakeward_result_series_cut.
size_t cut_on(const std::string& page) {
  size_t sum = 0;
  for (const std::string& line : series_of_page(page)) {
    if (line.starts_with("brakeward_result_series_cut{")) sum += std::stoul(line.substr(line.rfind(' ') + 1));
  }
  return sum;
}

std::string cut_of(const std::string& page, const std::string& library, const std::string& build) {
  return value_on(page, "brakeward_result_series_cut{library=\"" + library + "\",build=\"" + build + "\"}");
}

std::vector<verdict::Run> builds_of(const std::string& library, int builds, int scenarios) {
  std::vector<verdict::Run> list;
  for (int b = builds; b >= 1; --b) list.push_back(full_build(library, "b" + std::to_string(b), scenarios));
  return list;
}

// A full build shows 5 verdict words, a drift per measure, and three series per scenario and measure; its 27
// measures make 32 + 81 series a scenario.
constexpr size_t kHead = 32, kScenario = 81;

TEST(Cap, NothingIsCutBelowIt) {
  ResultMetrics metrics;
  ASSERT_TRUE(metrics.set("juniper", builds_of("juniper", 6, 20), std::nullopt).ok());
  const std::string page = metrics.page();
  EXPECT_EQ(cut_on(page), 0u);
  EXPECT_EQ(series_on(page), 6 * (kHead + 20 * kScenario + 1) + 1);
}

TEST(Cap, WholeBuildsGoOldestFirst) {
  ResultMetrics metrics;
  for (const char* library : {"juniper", "rowan"}) {
    ASSERT_TRUE(metrics.set(library, builds_of(library, 6, 42), std::nullopt).ok());
  }
  const std::string page = metrics.page();
  const size_t build = kHead + 42 * kScenario;  // 3434: five of them fit
  EXPECT_EQ(series_on(page), 5 * build + 12 + 2);
  EXPECT_EQ(cut_on(page), 7 * build);
  // Rank by rank from the anchors on; of the third newest builds the later library's goes.
  for (const char* b : {"b1", "b2", "b3"}) {
    EXPECT_EQ(cut_of(page, "juniper", b), std::to_string(build));
    EXPECT_EQ(cut_of(page, "rowan", b), std::to_string(build));
  }
  EXPECT_EQ(cut_of(page, "juniper", "b4"), "0");
  EXPECT_EQ(cut_of(page, "rowan", "b4"), std::to_string(build));
  for (const char* library : {"juniper", "rowan"}) {
    EXPECT_EQ(cut_of(page, library, "b5"), "0");
    EXPECT_EQ(cut_of(page, library, "b6"), "0");
  }
  // The anchor's series are gone; the drift against it is not.
  EXPECT_EQ(value_on(page, "brakeward_drift_ratio{library=\"rowan\",build=\"b6\",measure=\"front_share\"}"),
            "0");
}

TEST(Cap, OfTheNewestBuildTheWorstScenariosStay) {
  verdict::Run run = full_build("juniper", "b1", 300);
  run.scenarios[299].verdict = verdict::Verdict::kFail;
  run.scenarios[280].verdict = verdict::Verdict::kInconclusive;
  const auto page = result_page(run);
  ASSERT_TRUE(page.ok());
  const size_t kept = (kMostSeries - 1 - 5) / kScenario;  // a page of one run shows no drift
  EXPECT_EQ(series_on(*page), 1 + 5 + kept * kScenario);
  EXPECT_EQ(cut_of(*page, "juniper", "b1"), std::to_string((300 - kept) * kScenario));
  const auto shown = [&](int i) { return page->find("\"stop_" + std::to_string(i) + "\"") != page->npos; };
  EXPECT_TRUE(shown(299));
  EXPECT_TRUE(shown(280));
  EXPECT_TRUE(shown(static_cast<int>(kept) - 3));  // two of those kept are the two above
  EXPECT_FALSE(shown(static_cast<int>(kept) - 2));
}

TEST(Cap, HoldsWithAsManyLibrariesAsMayBe) {
  ResultMetrics metrics;
  const auto set = [&](int i) {
    const std::string library = "car_" + std::to_string(i);
    return metrics.set(library, {full_build(library, "b2", 1), full_build(library, "b1", 1)}, std::nullopt);
  };
  for (int i = 0; i < kMostLibraries; ++i) ASSERT_TRUE(set(i).ok());
  const std::string page = metrics.page();
  EXPECT_LE(series_on(page), static_cast<size_t>(kMostSeries));
  const size_t libraries = kMostLibraries;
  EXPECT_EQ(series_on(page) - 3 * libraries + cut_on(page), 2 * libraries * (kHead + kScenario));
  const absl::Status status = set(kMostLibraries);
  EXPECT_EQ(status.code(), absl::StatusCode::kResourceExhausted);
  EXPECT_EQ(status.message(),
            "library car_500 has no metrics: 500 libraries are shown at most; serve the others elsewhere");
  EXPECT_EQ(metrics.page(), page);
  EXPECT_TRUE(set(7).ok());  // one that is there may be set again
}

// Whatever the shape: never more than the cap, every series shown or counted as cut, and never a cut while
// the build would have fitted whole.
TEST(Cap, HoldsForAnyShape) {
  std::mt19937 random(20);
  for (int round = 0; round < 5; ++round) {
    ResultMetrics metrics;
    size_t all = 0, fixed = 0;
    const int libraries = 1 + static_cast<int>(random() % 6);
    for (int l = 0; l < libraries; ++l) {
      const std::string library = "car_" + std::to_string(l);
      const int builds = 1 + static_cast<int>(random() % 6), scenarios = static_cast<int>(random() % 40);
      ASSERT_TRUE(metrics.set(library, builds_of(library, builds, scenarios), std::nullopt).ok());
      all += builds * (scenarios == 0 ? 5 : kHead + scenarios * kScenario);
      fixed += static_cast<size_t>(builds) + 1;
    }
    const std::string page = metrics.page();
    EXPECT_LE(series_on(page), static_cast<size_t>(kMostSeries));
    EXPECT_EQ(series_on(page) - fixed + cut_on(page), all);
    EXPECT_EQ(cut_on(page) == 0, all + fixed <= static_cast<size_t>(kMostSeries));
  }
}

}  // namespace
}  // namespace brakeward::metrics
