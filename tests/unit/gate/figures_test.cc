// Figures against what they are drawn from: the trace, and the measures of the same run.
#include "gate/figures.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "end_to_end/library_copy.h"
#include "signal/observables.h"

namespace brakeward::gate {
namespace {

using end_to_end::LibraryCopy;

// Scenarios with a recorded stop, a step and two faults; the candidate answers slower than the baseline.
class Figures : public testing::Test {
 protected:
  void SetUp() override {
    copy.keep({"saltmarsh_dry_100", "step_hand", "millrace_open_track", "millrace_supply_dip"});
    copy.make_baseline();
    options.library = copy.folder();
    options.calibration =
        copy.candidate([](v1::Calibration& c) { c.mutable_hand_control()->set_low_pass_hz(5); });
    CheckOptions how;
    how.judged = [&](const Session& session, const verdict::Run& judged) { extras = draw(session, judged); };
    auto checked = check(options, how);
    ASSERT_TRUE(checked.ok()) << checked.status();
    run = *std::move(checked);
    ASSERT_EQ(extras.why_no_figures, "");
  }

  const report::Figure& figure_of(const std::string& scenario) const {
    return *std::find_if(extras.figures.begin(), extras.figures.end(),
                         [&](const auto& f) { return f.scenario == scenario; });
  }
  static const report::Line* line_of(const report::Panel& panel, report::LineKind kind) {
    const auto it =
        std::find_if(panel.lines.begin(), panel.lines.end(), [&](const auto& l) { return l.kind == kind; });
    return it == panel.lines.end() ? nullptr : &*it;
  }
  static const report::Panel& panel_of(const report::Figure& figure, std::string_view title) {
    return *std::find_if(figure.panels.begin(), figure.panels.end(),
                         [&](const auto& p) { return p.title == title; });
  }
  double measure(const std::string& scenario, const std::string& name, bool of_baseline) const {
    for (const auto& s : run.scenarios)
      for (const auto& m : s.measures)
        if (s.scenario == scenario && m.measure == name) return of_baseline ? *m.baseline : *m.value;
    ADD_FAILURE() << name;
    return 0;
  }

  LibraryCopy copy;
  Options options;
  verdict::Run run;
  report::HtmlExtras extras;
};

TEST_F(Figures, EveryScenarioHasOneAndTheSamplesAreTheTraces) {
  ASSERT_EQ(extras.figures.size(), 4u);
  const auto replayed = replay_scenario(options, "saltmarsh_dry_100");
  ASSERT_TRUE(replayed.ok());
  const report::Figure& figure = figure_of("saltmarsh_dry_100");
  const report::Panel& speed = panel_of(figure, "Speed");
  const report::Line* line = line_of(speed, report::LineKind::kCandidate);
  ASSERT_NE(line, nullptr);
  constexpr size_t kSpeed = 10;
  ASSERT_STREQ(signal::kObservables[kSpeed].name, "speed");
  for (size_t i = 0; i < line->values.size(); ++i)
    ASSERT_EQ(line->values[i], replayed->trace.rows[figure.ticks[i] * signal::kObservableCount + kSpeed]);
}

// The recording was made on the car of the library: its speed must lie on the baseline's, which was on it.
// Allowed is what the recording's noise and its 10 ms samples may do.
TEST_F(Figures, TheRecordedSpeedStandsAtTheReplaysTime) {
  const report::Panel& speed = panel_of(figure_of("saltmarsh_dry_100"), "Speed");
  const report::Line* recorded = line_of(speed, report::LineKind::kRecording);
  const report::Line* baseline = line_of(speed, report::LineKind::kBaseline);
  ASSERT_TRUE(recorded && baseline);
  double square = 0;
  size_t count = 0;
  for (; count < std::min(recorded->values.size(), baseline->values.size()); ++count)
    square += std::pow(recorded->values[count] - baseline->values[count], 2);
  EXPECT_GT(count, 300u);
  EXPECT_LT(std::sqrt(square / static_cast<double>(count)), 0.3);
  EXPECT_EQ(line_of(panel_of(figure_of("step_hand"), "Speed"), report::LineKind::kRecording), nullptr);
}

// Where the marks of the response are drawn the traced pressure must pass the level: between two ticks the
// pressure is linear to the measure, too.
TEST_F(Figures, TracesPassTheLevelsWhereTheMeasuresSay) {
  const report::Figure& figure = figure_of("step_hand");
  ASSERT_TRUE(figure.response.has_value());
  ASSERT_EQ(figure.response_ticks[1] - figure.response_ticks[0], 1u);
  for (const auto kind : {report::LineKind::kCandidate, report::LineKind::kBaseline}) {
    const report::Line* line = line_of(figure.response_panel, kind);
    ASSERT_NE(line, nullptr);
    for (size_t i = 0; i < 3; ++i) {
      const std::string name = i == 0 ? "delay_10_percent" : i == 1 ? "delay_63_percent" : "delay_90_percent";
      const double at_s = figure.response->reference_s[i] +
                          1e-3 * measure("step_hand", name, kind == report::LineKind::kBaseline);
      const double position = at_s / figure.tick_s - static_cast<double>(figure.response_ticks.front() + 1);
      const auto k = static_cast<size_t>(position);
      ASSERT_LT(k + 1, line->values.size());
      const double share = position - static_cast<double>(k);
      const double pressure = line->values[k] + share * (line->values[k + 1] - line->values[k]);
      EXPECT_NEAR(pressure, figure.response->level_bar[i], 1e-6) << name;
    }
  }
}

TEST_F(Figures, FaultsAndBalanceAreTold) {
  const auto& faults = figure_of("millrace_open_track").faults;
  ASSERT_EQ(faults.size(), 1u);
  EXPECT_THAT(faults[0].what, testing::HasSubstr("track open, hand "));
  EXPECT_LT(faults[0].start_s, faults[0].end_s);
  ASSERT_EQ(figure_of("millrace_supply_dip").faults.size(), 1u);
  EXPECT_EQ(figure_of("millrace_supply_dip").faults[0].what, "supply dip");
  ASSERT_EQ(extras.balance.size(), 2u);
  EXPECT_EQ(extras.balance[0].points.size(), 10u);
  // f = F / N for each axle, so that the loads give back the whole.
  for (const auto& p : extras.balance[1].points) {
    const double front = p.deceleration_g * p.front_share / p.front_adhesion;
    const double rear = p.deceleration_g * (1 - p.front_share) / p.rear_adhesion;
    EXPECT_NEAR(front + rear, 1, 1e-9);
    EXPECT_NEAR(front, p.ideal_front_share, 1e-9);
  }
}

// Under the baseline's calibration feel, repetitions and stints are those of a check of that calibration.
TEST(BaselineFigures, AreWhatACheckOfTheBaselineSays) {
  LibraryCopy copy;
  copy.keep({"feel_hand", "step_hand", "saltmarsh_dry_100"});
  copy.change<v1::Scenario>(copy.file("scenarios/step_hand.textproto"), [](v1::Scenario& s) {
    s.mutable_repeatability()->set_count(3);
    s.mutable_repeatability()->set_amplitude_percent(2);
  });
  v1::Stint stint;
  stint.set_name("made");
  stint.set_purpose("test");
  stint.add_lap()->set_scenario("saltmarsh_dry_100");
  stint.set_laps(2);
  copy.add_stint(stint);
  copy.make_baseline();
  Options options;
  options.library = copy.folder();
  options.tier = verdict::Tier::kAll;
  options.calibration =
      copy.candidate([](v1::Calibration& c) { c.mutable_hand_control()->set_dead_band_mm(2.5); });
  report::HtmlExtras extras;
  CheckOptions how;
  how.judged = [&](const Session& session, const verdict::Run& judged) { extras = draw(session, judged); };
  const auto candidate = check(options, how);
  ASSERT_TRUE(candidate.ok()) << candidate.status();
  options.calibration = copy.released();
  const auto released = check(options);
  ASSERT_TRUE(released.ok()) << released.status();
  ASSERT_EQ(extras.why_no_baseline, "");
  ASSERT_EQ(extras.baseline.size(), 3u);
  for (const verdict::ScenarioResult& drawn : extras.baseline) {
    const auto of = [&](const verdict::Run& run) {
      return std::find_if(run.scenarios.begin(), run.scenarios.end(),
                          [&](const auto& s) { return s.scenario == drawn.scenario; });
    };
    // The hash goes over all of feel, repetitions and stint, with their exact bits.
    const auto hash_of = [&](const verdict::ScenarioResult& s) {
      verdict::Run only;
      only.scenarios.emplace_back().scenario = s.scenario;
      only.scenarios[0].feel = s.feel;
      only.scenarios[0].repetitions = s.repetitions;
      only.scenarios[0].stint = s.stint;
      return verdict::result_sha256(only);
    };
    EXPECT_EQ(hash_of(drawn), hash_of(*of(*released))) << drawn.scenario;
    EXPECT_NE(hash_of(drawn), hash_of(*of(*candidate))) << drawn.scenario;
  }
  // The curve's ends are the measures, and the baseline's those that the baseline document holds.
  const verdict::ScenarioResult* feel = nullptr;
  for (const auto& s : candidate->scenarios)
    if (s.scenario == "feel_hand") feel = &s;
  ASSERT_TRUE(feel != nullptr && feel->feel.size() == 2);
  EXPECT_EQ(feel->feel[1].control, "pedal");
  const verdict::FeelResult* below = nullptr;
  for (const auto& s : extras.baseline)
    if (s.scenario == "feel_hand") below = &s.feel.at(0);
  ASSERT_NE(below, nullptr);
  for (const auto& m : feel->measures) {
    if (m.measure == "feel_hand_threshold") {
      EXPECT_EQ(feel->feel[0].points.front().applied, m.value);
      EXPECT_EQ(below->points.front().applied, m.baseline);
    }
    if (m.measure == "feel_hand_effort") {
      EXPECT_EQ(feel->feel[0].points.back().applied, m.value);
      EXPECT_EQ(below->points.back().applied, m.baseline);
    }
  }
}

}  // namespace
}  // namespace brakeward::gate
