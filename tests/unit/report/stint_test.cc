// A stint's laps and a build sheet in every view, and text from elsewhere as text.
#include "report/stint.h"

#include <gmock/gmock.h>
#include <google/protobuf/util/json_util.h>
#include <gtest/gtest.h>

#include "brakeward/v1/run.pb.h"
#include "report/html.h"
#include "report/json.h"
#include "report/markdown.h"
#include "report/terminal.h"

namespace brakeward::report {
namespace {

using testing::HasSubstr;
using testing::Not;

verdict::Run run_of(int laps) {
  verdict::Run run;
  run.calibration_name = "candidate";
  run.library_name = "library";
  run.state = verdict::RunState::kCompleted;
  run.tier = verdict::Tier::kEndurance;
  verdict::ScenarioResult s;
  s.scenario = "hour";
  s.scenario_class = "stint";
  s.verdict = run.verdict = verdict::Verdict::kPass;
  s.stint.emplace();
  for (int lap = 1; lap <= laps; ++lap)
    s.stint->laps.push_back({lap, lap > 1, 100.0 + lap, 300.0 + lap, 200.0 + lap, 120.0 + lap,
                             lap > 1 ? std::optional<double>(90.0 - lap) : std::nullopt, 60.0 + lap});
  run.scenarios.push_back(s);
  run.build_sheet = {{"pads", "race compound"}, {"tyres", "semi-slick"}};
  run.build_sheet_differences = {{"morning", "tyres", "all-season", "semi-slick"}};
  return run;
}

TEST(Stint, ShowsItsFirstAndLastLapAndSomeBetween) {
  const verdict::Run run = run_of(40);
  const auto rows = stint_rows(*run.scenarios[0].stint, 8);
  ASSERT_EQ(rows.size(), 8u);
  EXPECT_EQ(rows.front()[0], "1");
  EXPECT_EQ(rows.front()[1], "slow");
  EXPECT_EQ(rows.front()[6], "-") << "no application began";
  EXPECT_EQ(rows.back()[0], "40");
  EXPECT_EQ(rows.back()[1], "full");
  EXPECT_EQ(rows.back().size(), kStintCells);
  EXPECT_EQ(stint_rows(*run_of(3).scenarios[0].stint, 8).size(), 3u);
  EXPECT_EQ(stint_rows(*run_of(1).scenarios[0].stint, 8).size(), 1u);
  EXPECT_TRUE(stint_rows({}, 8).empty());
}

TEST(Stint, StandsInEveryTable) {
  const verdict::Run run = run_of(12);
  for (const std::string& view : {render_terminal(run), render_markdown(run), render_html(run, {})}) {
    EXPECT_THAT(view, HasSubstr("hour"));
    EXPECT_THAT(view, HasSubstr("12 laps"));
    EXPECT_THAT(view, HasSubstr("to boiling K"));
    EXPECT_THAT(view, HasSubstr("312")) << "front disc of the last lap";
  }
}

TEST(Stint, IsInTheJsonAsTheSchemaHasIt) {
  v1::Run message;
  google::protobuf::util::JsonParseOptions strict;
  strict.ignore_unknown_fields = false;
  ASSERT_TRUE(google::protobuf::util::JsonStringToMessage(render_json(run_of(3)), &message, strict).ok());
  ASSERT_EQ(message.scenarios(0).stint().laps_size(), 3);
  const v1::StintLap& lap = message.scenarios(0).stint().laps(1);
  EXPECT_EQ(lap.lap(), 2);
  EXPECT_TRUE(lap.at_pace());
  EXPECT_EQ(lap.braking_distance_m(), 102);
  EXPECT_EQ(lap.boiling_margin_kelvin(), 88);
  EXPECT_FALSE(message.scenarios(0).stint().laps(0).has_boiling_margin_kelvin());
  EXPECT_EQ(message.scenarios(0).scenario_class(), v1::SCENARIO_CLASS_STINT);
  EXPECT_EQ(message.build_sheet().tyres(), "semi-slick");
  EXPECT_EQ(message.build_sheet_differences(0).recorded(), "all-season");
}

TEST(BuildSheet, StandsInEveryViewWithWhatDiffers) {
  const verdict::Run run = run_of(3);
  for (const std::string& view : {render_terminal(run), render_markdown(run), render_html(run, {})}) {
    EXPECT_THAT(view, HasSubstr("race compound"));
    EXPECT_THAT(view, HasSubstr("tyres of recording morning: all-season; on the car: semi-slick"));
  }
}

TEST(BuildSheet, IsNotThereWhereTheVehicleDoesNotSay) {
  verdict::Run run = run_of(3);
  run.build_sheet.clear();
  run.build_sheet_differences.clear();
  EXPECT_THAT(render_terminal(run), Not(HasSubstr("fitted")));
  EXPECT_THAT(render_markdown(run), Not(HasSubstr("Build sheet")));
  EXPECT_THAT(render_html(run, {}), Not(HasSubstr("Build sheet")));
  EXPECT_THAT(render_json(run), Not(HasSubstr("build_sheet")));
}

TEST(BuildSheet, HostileTextStaysText) {
  verdict::Run run = run_of(3);
  run.build_sheet[0].value = "<img src=x> | \x1b[31m";
  run.build_sheet_differences[0].recorded = run.build_sheet[0].value;
  run.scenarios[0].scenario = run.build_sheet[0].value;
  EXPECT_THAT(render_html(run, {}), Not(HasSubstr("<img src=x>")));
  EXPECT_THAT(render_markdown(run), Not(HasSubstr("<img")));
  EXPECT_THAT(render_terminal(run), Not(HasSubstr("\x1b[31m")));
}

}  // namespace
}  // namespace brakeward::report
