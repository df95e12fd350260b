// A campaign in every view: its faults, their worst onset and numbers, and text from elsewhere as text.
#include "report/campaign.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "report/html.h"
#include "report/json.h"
#include "report/junit.h"
#include "report/markdown.h"
#include "report/terminal.h"

namespace brakeward::report {
namespace {

using testing::HasSubstr;
using testing::Not;
using verdict::FaultResult;
using verdict::MeasureResult;
using verdict::Verdict;

MeasureResult measure(const char* name, double value) {
  MeasureResult m;
  m.measure = name;
  m.value = value;
  m.verdict = Verdict::kPass;
  return m;
}

FaultResult fault(const std::string& name, Verdict verdict) {
  FaultResult f;
  f.fault = name;
  f.replays = 12;
  f.worst_replay = "open/" + name + "/step@+0.250s";
  f.verdict = verdict;
  f.measures = {measure("fault_detection_time", 51), measure("fault_unbraked_time", 812),
                measure("fault_lost_distance", 3.5), measure("fault_unrecovered_share", 25)};
  f.measures[1].verdict = verdict;
  if (verdict == Verdict::kFail) f.measures[1].reason = "unbraked for too long";
  return f;
}

verdict::Run run_with(const std::string& fault_name) {
  verdict::Run run;
  run.calibration_name = "candidate";
  run.library_name = "library";
  run.state = verdict::RunState::kCompleted;
  run.tier = verdict::Tier::kEndurance;
  verdict::ScenarioResult s;
  s.scenario = "open";
  s.scenario_class = "fault";
  s.verdict = run.verdict = Verdict::kFail;
  s.measures = fault(fault_name, Verdict::kFail).measures;
  s.campaign =
      verdict::CampaignResult{500, {fault("tolerated", Verdict::kPass), fault(fault_name, Verdict::kFail)}};
  run.scenarios.push_back(s);
  return run;
}

TEST(Campaign, IsARowAFaultWithTheOnsetAlone) {
  const verdict::Run run = run_with("both");
  const auto rows = campaign_rows(run.scenarios[0]);
  ASSERT_EQ(rows.size(), 2u);
  EXPECT_EQ(rows[1].cells.size(), kCampaignCells);
  EXPECT_EQ(rows[1].cells[0], "both");
  EXPECT_EQ(rows[1].cells[1], "12");
  EXPECT_EQ(rows[1].cells[2], "step@+0.250s");
  EXPECT_THAT(rows[1].cells[3], HasSubstr("51"));
  EXPECT_EQ(rows[1].cells[4], "never in 25 %") << "no time of recovery, and the share that never did";
  EXPECT_EQ(rows[1].cells[10], "-") << "nobody braked by the pedal";
  EXPECT_EQ(rows[1].verdict, Verdict::kFail);
  EXPECT_TRUE(campaign_rows(verdict::ScenarioResult{}).empty());
}

TEST(Campaign, StandsInEveryTableWithItsFaultTolerantTime) {
  const verdict::Run run = run_with("both");
  for (const std::string& view : {render_terminal(run), render_markdown(run), render_html(run, {})}) {
    EXPECT_THAT(view, HasSubstr("fault-tolerant time 500 ms"));
    EXPECT_THAT(view, HasSubstr("unbraked ms"));
    EXPECT_THAT(view, HasSubstr("tolerated"));
    EXPECT_THAT(view, HasSubstr("endurance"));
    EXPECT_THAT(view, HasSubstr("never in 25 %"));
  }
  EXPECT_THAT(render_terminal(run), HasSubstr("step@+0.250s"));
}

TEST(Campaign, IsACaseAFaultInJUnit) {
  const std::string xml = render_junit(run_with("both"), "");
  EXPECT_THAT(xml, HasSubstr("<testcase name=\"fault tolerated\" classname=\"library.open\"/>"));
  EXPECT_THAT(xml, HasSubstr("<testcase name=\"fault both\" classname=\"library.open\">"));
  EXPECT_THAT(xml, HasSubstr("unbraked for too long"));
  EXPECT_THAT(xml, HasSubstr("12 replays, the worst of them open/both/step@+0.250s"));
}

TEST(Campaign, KeepsEveryNumberInTheJson) {
  const auto json = nlohmann::json::parse(render_json(run_with("both")));
  const auto& campaign = json.at("scenarios")[0].at("campaign");
  EXPECT_EQ(campaign.at("fault_tolerant_time_ms"), 500);
  ASSERT_EQ(campaign.at("faults").size(), 2u);
  EXPECT_EQ(campaign.at("faults")[1].at("worst_replay"), "open/both/step@+0.250s");
  EXPECT_EQ(campaign.at("faults")[1].at("verdict"), "VERDICT_FAIL");
  EXPECT_EQ(campaign.at("faults")[1].at("measures")[1].at("value"), 812);
  EXPECT_EQ(json.at("tier"), "TIER_ENDURANCE");
}

TEST(Campaign, HostileNamesStayText) {
  const verdict::Run run = run_with("<img src=x> | \x1b[31m");
  EXPECT_THAT(render_html(run, {}), Not(HasSubstr("<img src=x>")));
  EXPECT_THAT(render_junit(run, ""), Not(HasSubstr("<img src=x>")));
  const std::string markdown = render_markdown(run);
  EXPECT_THAT(markdown, Not(HasSubstr("<img")));
  EXPECT_THAT(markdown, Not(HasSubstr("> | ")));
  EXPECT_THAT(render_terminal(run), Not(HasSubstr("\x1b[31m")));
}

TEST(Campaign, IsNotThereWithoutOne) {
  verdict::Run run = run_with("both");
  run.scenarios[0].campaign.reset();
  EXPECT_THAT(render_terminal(run), Not(HasSubstr("fault-tolerant")));
  EXPECT_THAT(render_markdown(run), Not(HasSubstr("Campaigns")));
  EXPECT_THAT(render_html(run, {}), HasSubstr("No campaign was replayed."));
}

}  // namespace
}  // namespace brakeward::report
