// Drawings of feel, repeatability and stints, read back from the page, against the numbers of the run's JSON.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "report/html.h"
#include "report/json.h"
#include "unit/report/drawing_reader.h"
#include "unit/report/sample_run.h"
#include "verdict/concat.h"

namespace brakeward::report {
namespace {

using Json = nlohmann::json;
using testing::HasSubstr;
using testing::Not;
using verdict::ScenarioResult;

// A curve that opens between the hand's way on and off; the last level is never left.
verdict::FeelResult feel_of(const char* control, const char* unit, double factor) {
  verdict::FeelResult out{control, unit, {}};
  for (int i = 1; i <= 8; ++i)
    out.points.push_back({0.6 * i, factor * (3 + 1.37 * i),
                          i == 8 ? std::nullopt : std::optional<double>(factor * (2.5 + 1.31 * i))});
  return out;
}

std::vector<verdict::Repetition> repetitions_of(const std::string& scenario, double more) {
  std::vector<verdict::Repetition> out = {{"itself", scenario, 60.25 + more, 81.5, 6.5}};
  for (int i = 1; i <= 6; ++i)
    out.push_back({"repeat", verdict::concat(scenario, "/repeat@", i), 60 + 0.31 * i + more, 80.0 + i, 6.4});
  out.push_back({"step", scenario + "/step@-2", 61.5 + more, 82, 6.25});
  out.push_back({"step", scenario + "/step@+2", 59.5 + more, 79, 6.75});
  out.push_back({"mirrored", scenario + "/mirrored", 60.5 + more, std::nullopt, 6.45});
  out.push_back({"corner", scenario + "/corner@grip_low,load", 71.25 + more, 85, 5.5});
  return out;
}

verdict::StintResult stint_of(double hotter) {
  verdict::StintResult out;
  for (int lap = 1; lap <= 5; ++lap) {
    out.laps.push_back({lap, lap > 1, 100, 0, 0, 0, 90, 0});
    for (int part = 0; part < 2; ++part)
      out.parts.push_back({lap, part == 0 ? "long_stop" : "short_stop", lap == 2 || lap == 5,
                           part == 0 ? std::optional<double>(80.0 + lap) : std::nullopt, 7 - 0.1 * lap,
                           200 + 50.5 * lap + 20 * part + hotter, 150 + 30.25 * lap + hotter,
                           30 + 4.5 * lap + part + hotter, 25 + lap + hotter});
  }
  return out;
}

verdict::Run plotted_run() {
  verdict::Run run = sample_run();
  run.scenarios[0].feel = {feel_of("hand", "mm", 1), feel_of("pedal", "N", 22)};
  run.scenarios[0].tier = verdict::Tier::kGate;
  run.scenarios[1].repetitions = repetitions_of(run.scenarios[1].scenario, 0);
  run.scenarios[1].tier = verdict::Tier::kEndurance;
  run.scenarios[2].stint = stint_of(0);
  run.scenarios[2].tier = verdict::Tier::kEndurance;
  return run;
}

HtmlExtras baseline_of(const verdict::Run& run) {
  HtmlExtras extras;
  for (size_t i = 0; i < 3; ++i) extras.baseline.emplace_back().scenario = run.scenarios[i].scenario;
  extras.baseline[0].feel = {feel_of("hand", "mm", 1.125)};
  extras.baseline[1].repetitions = repetitions_of(run.scenarios[1].scenario, 0.5);
  extras.baseline[2].stint = stint_of(-8);
  return extras;
}

std::string plotted_page() {
  return render_html(plotted_run(), baseline_of(plotted_run()));
}

// The JSON of the run, and of what is drawn of the baseline as the run of its own that it would be.
Json json_of(bool baseline) {
  verdict::Run run = plotted_run();
  if (baseline) run.scenarios = baseline_of(run).baseline;
  return Json::parse(render_json(run))["scenarios"];
}

void expect_feel(const ReadDrawing& drawing, const std::string& style, const Json& feel, const char* way) {
  const auto points = drawing.markers(style);
  size_t at = 0;
  for (const Json& p : feel["points"]) {
    if (!p.contains(way)) continue;
    ASSERT_LT(at, points.size()) << style;
    EXPECT_NEAR(points[at].x, p[way], drawing.x_resolution());
    EXPECT_NEAR(points[at].y, p["deceleration_mps2"], drawing.y_resolution());
    ++at;
  }
  EXPECT_EQ(at, points.size());
}

TEST(HtmlPlots, FeelIsThatOfTheJson) {
  const std::string page = plotted_page();
  const ReadDrawing hand(page,
                         "Hand control, deceleration over effort in dry_stop_100, candidate and baseline");
  const Json candidate = json_of(false)[0]["feel"], baseline = json_of(true)[0]["feel"];
  expect_feel(hand, "candidate", candidate[0], "applied");
  expect_feel(hand, "candidate right", candidate[0], "released");
  expect_feel(hand, "baseline", baseline[0], "applied");
  expect_feel(hand, "baseline right", baseline[0], "released");
  const ReadDrawing pedal(page, "Pedal, deceleration over effort in dry_stop_100, applying");
  expect_feel(pedal, "candidate", candidate[1], "applied");
  EXPECT_TRUE(pedal.markers("baseline").empty()) << "the baseline has none of the pedal";
  EXPECT_THAT(page, HasSubstr("<th scope=\"row\" class=\"n\">0.60</th><td class=\"n\">4.37</td><td "
                              "class=\"n\">3.81</td><td class=\"n\">4.92</td><td class=\"n\">4.29</td>"));
  EXPECT_THAT(page, HasSubstr("<td class=\"n\">never</td>"));
}

TEST(HtmlPlots, EveryRepetitionIsThatOfTheJson) {
  const std::string page = plotted_page();
  const std::pair<const char*, const char*> respects[] = {
      {"Distance", "distance_m"}, {"Delay at 90 %", "delay_ms"}, {"Deceleration", "deceleration_mps2"}};
  for (const auto& [title, field] : respects) {
    const ReadDrawing drawing(page, std::string(title) + " of every replay of corner_entry_replay");
    for (const bool baseline : {false, true}) {
      const auto points = drawing.markers(baseline ? "dot baseline" : "dot candidate");
      size_t at = 0;
      const Json scenarios = json_of(baseline);
      for (const Json& r : scenarios[1]["repetitions"]) {
        if (!r.contains(field)) continue;
        ASSERT_LT(at, points.size());
        EXPECT_NEAR(points[at].y, r[field], drawing.y_resolution());
        const std::string name = r["replay"];
        const size_t slash = name.find('/');
        EXPECT_THAT(points[at].title,
                    testing::StartsWith(slash == std::string::npos ? "itself" : name.substr(slash + 1)));
        EXPECT_THAT(points[at].title, HasSubstr(baseline ? ", baseline: " : ", candidate: "));
        ++at;
      }
      EXPECT_EQ(at, points.size());
    }
  }
  for (const char* group : {"itself", "repeats", "steps", "mirrored", "corners"})
    EXPECT_THAT(page, HasSubstr(verdict::concat(" class=\"mid\">", std::string_view(group), "</text>")));
  EXPECT_THAT(page, HasSubstr("6 repeats, 2 steps, 1 mirrored, 1 corners"));
  EXPECT_THAT(page, HasSubstr("<code>corner@grip_low,load</code></th><td class=\"n\">71.25</td><td "
                              "class=\"n\">85.0</td><td class=\"n\">5.50</td><td class=\"n\">71.75</td>"));
}

TEST(HtmlPlots, GroupsStandSideBySide) {
  const auto points =
      ReadDrawing(plotted_page(), "Distance of every replay of corner_entry_replay").markers("dot candidate");
  ASSERT_EQ(points.size(), 11u);
  for (size_t i = 1; i < points.size(); ++i) EXPECT_GT(points[i].x, points[i - 1].x);
}

// The drawing shows the parts of the laps that are compared as marks.
TEST(HtmlPlots, StintTemperaturesAreThoseOfTheJson) {
  const std::string page = plotted_page();
  const ReadDrawing discs(page, "Discs, greatest temperature of every part of every lap of wet_stop_80");
  const auto points = discs.markers("dot candidate");
  ASSERT_EQ(points.size(), 8u) << "two parts of two laps, front and rear";
  const Json scenarios = json_of(false);
  size_t at = 0;
  for (const char* field : {"front_disc_celsius", "rear_disc_celsius"})
    for (const Json& p : scenarios[2]["stint"]["parts"]) {
      if (!p["compared"]) continue;
      EXPECT_NEAR(points[at].y, p[field], discs.y_resolution());
      EXPECT_NEAR(points[at].x, double(p["lap"]) + (p["scenario"] == "long_stop" ? -0.25 : 0.25),
                  discs.x_resolution());
      ++at;
    }
  EXPECT_EQ(at, points.size());
  EXPECT_EQ(discs.markers("dot baseline").size(), 8u);
  const ReadDrawing fluid(page, "Fluid, greatest");
  EXPECT_NEAR(fluid.markers("dot candidate")[3].y, 30 + 4.5 * 5 + 1, fluid.y_resolution());
  EXPECT_THAT(page, HasSubstr("<td>last, lap 5</td><td class=\"n\">85.00</td><td class=\"n\">6.50</td>"));
  EXPECT_THAT(page, HasSubstr("<td>change</td><td class=\"n\">+3.7 %</td><td class=\"n\">-4.4 %</td><td "
                              "class=\"n\">+152 K</td>"));
}

TEST(HtmlPlots, TheLineOfAStintGoesThroughEveryPart) {
  const ReadDrawing discs(plotted_page(), "Discs, greatest");
  const std::regex line("<path class=\"line candidate\" d=\"([^\"]*)\"");
  std::smatch found;
  ASSERT_TRUE(std::regex_search(discs.text(), found, line));
  const std::string path = found[1];
  EXPECT_EQ(std::count(path.begin(), path.end(), 'L') + 1, 10);
}

TEST(HtmlPlots, ScenariosTellTheirTier) {
  const std::string page = plotted_page();
  EXPECT_THAT(page,
              HasSubstr("<label>tier <select name=\"tier\"><option value=\"\">all</option><option "
                        "value=\"endurance\">endurance</option><option value=\"gate\">gate</option><option "
                        "value=\"not told\">not told</option></select></label>"));
  EXPECT_THAT(page, HasSubstr("data-t=\"gate\" data-c=\"straight_dry\""));
  EXPECT_THAT(page, HasSubstr("<span class=\"class\">straight_dry, gate</span>"));
}

TEST(HtmlPlots, SectionsAreThereWithWhatTheyShow) {
  const std::string bare = render_html(sample_run(), {});
  for (const char* id : {"feel", "repeatability", "stints"}) {
    EXPECT_THAT(plotted_page(), HasSubstr(verdict::concat("<section id=\"", std::string_view(id), "\">")));
    EXPECT_THAT(plotted_page(), HasSubstr(verdict::concat("<a href=\"#", std::string_view(id), "\">")));
    EXPECT_THAT(bare, Not(HasSubstr(verdict::concat("#", std::string_view(id), "\""))));
  }
  HtmlExtras elsewhere;
  elsewhere.why_no_baseline = "the check ran <elsewhere>";
  EXPECT_THAT(render_html(plotted_run(), elsewhere),
              HasSubstr("The baseline is not drawn: the check ran &lt;elsewhere&gt;."));
}

TEST(HtmlPlots, HostileTextChangesNothingOfTheStructure) {
  const auto page_with = [](const std::string& text) {
    verdict::Run run = plotted_run();
    HtmlExtras extras = baseline_of(run);
    run.calibration_name = run.baseline_event_build = text;
    for (auto* scenarios : {&run.scenarios, &extras.baseline})
      for (size_t i = 0; i < 3; ++i) {
        ScenarioResult& s = (*scenarios)[i];
        s.scenario = verdict::concat(text, i);
        for (verdict::Repetition& r : s.repetitions)
          r.replay = verdict::concat(s.scenario, "/", text, r.replay);
        for (verdict::FeelResult& f : s.feel) f.unit = text;
        if (s.stint)
          for (verdict::StintPart& p : s.stint->parts) p.scenario = text;
      }
    return render_html(run, extras);
  };
  const std::string wild =
      page_with("</title></svg></script><script>alert(1)</script><img src=x onerror=alert(2)> \" ' &lt;");
  const std::string tame = page_with("x");
  for (const char c : {'<', '>', '"'})
    EXPECT_EQ(std::count(tame.begin(), tame.end(), c), std::count(wild.begin(), wild.end(), c)) << c;
  EXPECT_THAT(wild, Not(HasSubstr("<img")));
}

// As many replays, laps and scenarios as the schema allows.
TEST(HtmlPlots, StayUnderTheirSize) {
  verdict::Run run;
  HtmlExtras extras;
  for (int i = 0; i < 20; ++i) {
    ScenarioResult s;
    s.scenario = verdict::concat("scenario_with_quite_a_long_name_", i);
    s.scenario_class = "straight_dry";
    for (int k = 0; k < 512; ++k)
      s.repetitions.push_back({"corner",
                               verdict::concat(s.scenario, "/corner@grip_low,pads_low,fluid_high,", k),
                               60 + 0.1 * k, 80, 6});
    s.feel = {feel_of("hand", "mm", 1)};
    s.stint.emplace();
    for (int lap = 1; lap <= 500; ++lap) {
      s.stint->laps.push_back({lap, lap % 3 > 0, 1, 2, 3, 4, 5, 6});
      for (int part = 0; part < 20; ++part)
        s.stint->parts.push_back({lap, "part", false, 1, 2, 300.0 + part, 200, 100, 60});
    }
    run.scenarios.push_back(s);
    extras.baseline.push_back(s);
  }
  const std::string page = render_html(run, extras);
  EXPECT_LT(page.size(), kMostHtmlBytes);
  EXPECT_THAT(page, HasSubstr("left out to keep this file small; the JSON has all numbers"));
  EXPECT_THAT(page, HasSubstr("Distance of every replay of scenario_with_quite_a_long_name_0"));
  EXPECT_THAT(page, HasSubstr("more; the JSON has them all"));
}

}  // namespace
}  // namespace brakeward::report
