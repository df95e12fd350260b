#include "report/figure.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "report/figure_json.h"
#include "report/figure_ticks.h"
#include "signal/observables.h"
#include "unit/report/sample_traces.h"

namespace brakeward::report {
namespace {

using testing::Contains;
using testing::HasSubstr;
using Json = nlohmann::json;

const Panel& panel_of(const Figure& figure, std::string_view title) {
  for (const Panel& p : figure.panels)
    if (p.title == title) return p;
  ADD_FAILURE() << "no panel " << title;
  return figure.panels.front();
}

const Line* line_of(const Panel& panel, LineKind kind, std::string_view side = "") {
  for (const Line& l : panel.lines)
    if (l.kind == kind && l.side == side) return &l;
  return nullptr;
}

TEST(TellingTicks, AreAllOfAFew) {
  const std::vector<std::vector<double>> series = {{1, 2, 3}, {1, 2}};
  EXPECT_EQ(telling_ticks(series, 3), (std::vector<size_t>{0, 1, 2}));
  EXPECT_EQ(telling_ticks({}, 3), std::vector<size_t>{});
}

TEST(TellingTicks, KeepShortPeaksOfEverySeriesAndBothEnds) {
  std::vector<double> line(10000), large(10000, 0), small(10000, 0);
  for (size_t i = 0; i < line.size(); ++i) line[i] = static_cast<double>(i);
  large[1234] = 1000;
  small[7777] = 1e-3;
  const std::vector<std::vector<double>> series = {line, large, small};
  const auto ticks = telling_ticks(series, 400);
  EXPECT_THAT(ticks, testing::IsSupersetOf({0, 1234, 7777, 9999}));
  EXPECT_TRUE(std::is_sorted(ticks.begin(), ticks.end()));
  EXPECT_EQ(std::adjacent_find(ticks.begin(), ticks.end()), ticks.end());
  EXPECT_LE(ticks.size(), 401u);
}

TEST(TellingTicks, TakeNoHarmFromWhatIsNotANumberOrEndsEarly) {
  std::vector<double> gaps(5000, std::nan("")), ends(100, 1);
  gaps[4000] = INFINITY;
  const std::vector<std::vector<double>> series = {gaps, ends};
  const auto ticks = telling_ticks(series, 400);
  EXPECT_EQ(ticks.size(), 201u);
  EXPECT_EQ(ticks.back(), 4999u);
}

TEST(Figure, HoldsTrueSamplesOfAllThree) {
  const ScenarioTraces traces = sample_traces("stop");
  const Figure figure = make_figure(traces);
  ASSERT_GT(figure.ticks.size(), 300u);
  ASSERT_LE(figure.ticks.size(), kFigurePoints + 1);
  const Panel& pressure = panel_of(figure, "Front circuit pressure");
  const Line* candidate = line_of(pressure, LineKind::kCandidate);
  const Line* baseline = line_of(pressure, LineKind::kBaseline);
  ASSERT_TRUE(candidate && baseline);
  const size_t column = signal::column_of("pressure_front");
  ASSERT_EQ(candidate->values.size(), figure.ticks.size());
  for (size_t i = 0; i < figure.ticks.size(); ++i)
    EXPECT_EQ(candidate->values[i], traces.candidate[figure.ticks[i] * signal::kObservableCount + column]);
  EXPECT_LT(baseline->values.size(), candidate->values.size()) << "the baseline's replay ends first";
  EXPECT_EQ(baseline->values.back(),
            traces.baseline[figure.ticks[baseline->values.size() - 1] * signal::kObservableCount + column]);
  EXPECT_NE(line_of(pressure, LineKind::kReference), nullptr);
  EXPECT_EQ(line_of(pressure, LineKind::kRecording), nullptr) << "no pressure was recorded";
  EXPECT_NE(line_of(panel_of(figure, "Speed"), LineKind::kRecording), nullptr);
}

TEST(Figure, NoDemandIsDrawnWhereTheReplayEntersAtPressure) {
  ScenarioTraces traces = sample_traces("stop");
  traces.response.reset();
  for (auto* rows : {&traces.candidate, &traces.baseline})
    for (size_t i = signal::column_of("reference_pressure_front"); i < rows->size();
         i += signal::kObservableCount)
      (*rows)[i] = 0;
  const Figure figure = make_figure(traces);
  const Panel& pressure = panel_of(figure, "Front circuit pressure");
  EXPECT_EQ(line_of(pressure, LineKind::kReference), nullptr);
  EXPECT_EQ(pressure.lines.size(), 2u);
}

TEST(Figure, ARecordingThatEndsLeavesAGap) {
  const Figure figure = make_figure(sample_traces("stop"));
  const Line* recorded = line_of(panel_of(figure, "Deceleration"), LineKind::kRecording);
  ASSERT_NE(recorded, nullptr);
  for (size_t i = 0; i < figure.ticks.size(); ++i)
    EXPECT_EQ(std::isnan(recorded->values[i]), figure.ticks[i] + 1 >= 2000) << figure.ticks[i];
}

TEST(Figure, SaysWhichPlotsAreLeftOutAndWhy) {
  const Figure figure = make_figure(sample_traces("stop"));
  EXPECT_THAT(figure.quiet, Contains("Pedal force (no more than 22 N throughout)"));
  EXPECT_THAT(figure.quiet, Contains("Request state (0 throughout)"));
  EXPECT_THAT(figure.quiet, Contains("Front demand left by the slip limiter (100 % throughout)"));
  EXPECT_THAT(figure.quiet, Contains("Rear brake fluid (moves less than 1 degC)"));
  EXPECT_EQ(figure.panels.size() + figure.quiet.size(), 22u) << "a plot is drawn or named";
}

TEST(Figure, LeftAndRightAreTwoLinesOnlyWhereTheyDiffer) {
  ScenarioTraces traces = sample_traces("stop");
  const auto slip = [](const Figure& f) { return panel_of(f, "Braking slip, front wheels"); };
  EXPECT_EQ(slip(make_figure(traces)).lines.size(), 2u);
  const size_t right = signal::column_of("brake_slip_front_right");
  for (size_t i = right; i < traces.candidate.size(); i += signal::kObservableCount) traces.candidate[i] *= 2;
  const Panel panel = slip(make_figure(traces));
  EXPECT_EQ(panel.lines.size(), 4u);
  EXPECT_NE(line_of(panel, LineKind::kCandidate, "right"), nullptr);
  EXPECT_NE(line_of(panel, LineKind::kBaseline, "left"), nullptr);
}

TEST(Figure, SlipIsLeftOutWhereItsMeasureIs) {
  ScenarioTraces traces = sample_traces("stop");
  for (size_t i = signal::column_of("speed"); i < traces.candidate.size(); i += signal::kObservableCount)
    if (i / signal::kObservableCount >= 1500) traces.candidate[i] = kSlipAbove_mps;
  const Figure figure = make_figure(traces);
  const Line* slip = line_of(panel_of(figure, "Braking slip, front wheels"), LineKind::kCandidate);
  for (size_t i = 0; i < figure.ticks.size(); ++i)
    EXPECT_EQ(std::isnan(slip->values[i]), figure.ticks[i] >= 1500);
}

// The slowest of the crossings of 90 %, with a margin: 0.06 s x ln 10 after the request.
TEST(Figure, TheResponseReachesBeyondTheLastCrossing) {
  const Figure figure = make_figure(sample_traces("stop"));
  ASSERT_FALSE(figure.response_ticks.empty());
  const double first = static_cast<double>(figure.response_ticks.front() + 1) * figure.tick_s;
  const double last = static_cast<double>(figure.response_ticks.back() + 1) * figure.tick_s;
  EXPECT_NEAR(first, 0.45, 0.002);
  EXPECT_NEAR(last, 0.5 + 0.06 * std::log(10.0) + 0.15, 0.003);
  EXPECT_NE(line_of(figure.response_panel, LineKind::kTarget), nullptr);
  ScenarioTraces none = sample_traces("stop");
  none.response.reset();
  EXPECT_TRUE(make_figure(none).response_ticks.empty());
}

TEST(Figure, WithoutABaselineOrAnyRowItIsStillOne) {
  ScenarioTraces traces = sample_traces("stop");
  traces.baseline.clear();
  EXPECT_EQ(line_of(panel_of(make_figure(traces), "Speed"), LineKind::kBaseline), nullptr);
  traces.candidate.clear();
  const Figure empty = make_figure(traces);
  EXPECT_TRUE(empty.panels.empty());
  EXPECT_EQ(empty.quiet.size(), 22u);
}

std::vector<double> decoded(const Json& differences, double step) {
  std::vector<double> out;
  double sum = 0;
  for (const Json& d : differences)
    out.push_back(d.is_null() ? std::nan("") : (sum += d.get<double>()) * step);
  return out;
}

TEST(FigureJson, ReadsBackToHalfItsStep) {
  const Figure figure = make_figure(sample_traces("stop"));
  const Json json = Json::parse(figure_json(figure, {}));
  const auto times = decoded(json["times"], json["tick"]);
  ASSERT_EQ(times.size(), figure.ticks.size());
  EXPECT_DOUBLE_EQ(times.back(), 3.0);
  ASSERT_EQ(json["panels"].size(), figure.panels.size());
  for (size_t p = 0; p < figure.panels.size(); ++p) {
    const Json& panel = json["panels"][p];
    for (size_t l = 0; l < figure.panels[p].lines.size(); ++l) {
      const auto values = decoded(panel["lines"][l]["values"], panel["step"]);
      const auto& wanted = figure.panels[p].lines[l].values;
      ASSERT_EQ(values.size(), wanted.size());
      for (size_t i = 0; i < values.size(); ++i) {
        ASSERT_EQ(std::isnan(values[i]), std::isnan(wanted[i]));
        if (!std::isnan(wanted[i])) {
          ASSERT_NEAR(values[i], wanted[i], 0.5001 * panel["step"].get<double>());
        }
      }
    }
  }
}

TEST(FigureJson, WhatBrokeDownIsAGap) {
  Figure figure;
  figure.ticks = {0, 1, 2, 3};
  figure.panels = {{"Speed", "m/s", 0.01, false, {{LineKind::kCandidate, "", {1, INFINITY, 1e300, 2}}}}};
  const Json json = Json::parse(figure_json(figure, {}));
  EXPECT_EQ(json["panels"][0]["lines"][0]["values"], Json::parse("[100, null, null, 100]"));
}

TEST(FigureJson, MarksComeFromTheMeasures) {
  verdict::ScenarioResult result;
  verdict::MeasureResult m;
  m.measure = "delay_63_percent";
  m.value = 84.8;
  m.baseline = 72.1;
  result.measures = {m};
  const Json marks =
      Json::parse(figure_json(make_figure(sample_traces("stop")), result))["response"]["marks"];
  ASSERT_EQ(marks.size(), 3u);
  EXPECT_EQ(marks[1]["percent"], 63);
  EXPECT_DOUBLE_EQ(marks[1]["level"], 25.2);
  EXPECT_DOUBLE_EQ(marks[1]["candidate"], 0.5848);
  EXPECT_DOUBLE_EQ(marks[1]["baseline"], 0.5721);
  EXPECT_FALSE(marks[0].contains("candidate"));
}

}  // namespace
}  // namespace brakeward::report
