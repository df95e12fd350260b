// The page of a season's drift: drawings read back against the numbers they show, and hostile text.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "report/drift.h"
#include "report/html.h"
#include "unit/report/drawing_reader.h"

namespace brakeward::report {
namespace {

using testing::HasSubstr;
using testing::Not;
using verdict::DriftSeries;
using verdict::Verdict;

DriftSeries series(const std::string& scenario, const std::string& measure, double step, Verdict verdict) {
  DriftSeries s{scenario, measure, 0.4, 0.6, false, {}, {}, {}, verdict, ""};
  for (int i = 0; i < 4; ++i)
    s.steps.push_back({40 + 0.4 * step * i, i > 0 ? std::optional<double>(step) : std::nullopt, step * i});
  s.sum = 3 * step;
  s.drift_used = 3 * step / 1.5;
  if (verdict == Verdict::kFail) s.reason = "stopping distance grew";
  return s;
}

verdict::Drift sample(const std::string& text) {
  verdict::Drift d;
  d.season = d.library_name = d.vehicle_name = d.season_sha256 = d.vehicle_sha256 = text;
  for (int i = 0; i < 4; ++i) d.builds.push_back({text + std::to_string(i), text, text, text});
  d.series = {series(text + "calm", "stopping_distance", 0.05, Verdict::kPass),
              series(text + "wet_stop", "stopping_distance", 0.625, Verdict::kFail)};
  d.series.push_back(series(text + "balance", "front_share", -0.45, Verdict::kPass));
  d.series[2].two_sided = true;
  d.series[2].drift_used = 0.9;
  d.series.push_back({text + "broken", "", {}, {}, false, {}, {}, {}, Verdict::kInconclusive, text});
  d.verdict = Verdict::kFail;
  return d;
}

TEST(HtmlDrift, DrawsTheNumbersOfTheSeason) {
  const verdict::Drift drift = sample("spring ");
  const std::string page = render_drift_html(drift);
  const DriftSeries& s = drift.series[1];
  const ReadDrawing sums(page, "Steps from build to build of stopping_distance of spring wet_stop");
  const auto sum = sums.markers("dot candidate"), step = sums.markers("dot baseline");
  ASSERT_EQ(sum.size(), 4u);
  ASSERT_EQ(step.size(), 3u) << "the first build has no step";
  for (size_t i = 0; i < 4; ++i) {
    EXPECT_NEAR(sum[i].y, 100 * *s.steps[i].sum, sums.y_resolution());
    if (i == 0) continue;
    EXPECT_NEAR(step[i - 1].y, 100 * *s.steps[i].step, sums.y_resolution());
  }
  EXPECT_THAT(sum[3].title, HasSubstr("spring 3: 40.75 m, step +62 %, sum +188 %"));
  EXPECT_THAT(page, HasSubstr("<figcaption>From 40.00 m to 40.75 m</figcaption>"));
  // The lines of the allowed drift: 0.6 m of 0.4 m; on both sides where either way counts.
  const auto bounds = [](const std::string& text) {
    const std::regex bound("<path class=\"line bound\"");
    return std::distance(std::sregex_iterator(text.begin(), text.end(), bound), std::sregex_iterator());
  };
  EXPECT_EQ(bounds(sums.text()), 1);
  EXPECT_EQ(bounds(ReadDrawing(page, "Steps from build to build of front_share").text()), 2);
}

TEST(HtmlDrift, ShowsTheGravestFirstAndAllInTheTable) {
  const std::string page = render_drift_html(sample("spring "));
  EXPECT_THAT(page, HasSubstr("4 measures over 4 builds: 1 fail, 1 inconclusive, 2 pass"));
  EXPECT_LT(page.find("<h3><span class=\"badge fail\">"),
            page.find("<h3><span class=\"badge inconclusive\">"));
  EXPECT_EQ(page.find("stopping_distance of spring calm,"), std::string::npos) << "used a tenth";
  EXPECT_THAT(page, HasSubstr("<th scope=\"row\">spring calm</th>"));
  EXPECT_THAT(page, HasSubstr("<strong>Caution.</strong> A pass is evidence for an engineer"));
}

TEST(HtmlDrift, HostileTextChangesNothingOfTheStructure) {
  const std::string hostile = "</script><script>alert(1)</script><img src=x onerror=alert(2)> \" ' &lt;";
  const std::string wild = render_drift_html(sample(hostile)), tame = render_drift_html(sample("x"));
  for (const char c : {'<', '>', '"'})
    EXPECT_EQ(std::count(tame.begin(), tame.end(), c), std::count(wild.begin(), wild.end(), c)) << c;
  EXPECT_THAT(wild, Not(HasSubstr("<img")));
}

TEST(HtmlDrift, StaysUnderItsSize) {
  verdict::Drift drift = sample("spring ");
  for (int i = 0; i < 200; ++i) drift.builds.push_back({std::string(300, '"'), "", "", ""});
  for (int i = 0; i < 5000; ++i)
    drift.series.push_back(series(std::string(300, '"'), "stopping_distance", 0.625, Verdict::kFail));
  for (DriftSeries& s : drift.series) s.steps.resize(204, {1, 2, 3});
  const std::string page = render_drift_html(drift);
  EXPECT_LT(page.size(), kMostHtmlBytes);
  EXPECT_THAT(page, HasSubstr("none graver; the JSON has them all"));
}

}  // namespace
}  // namespace brakeward::report
