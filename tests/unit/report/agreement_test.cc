// One run, many views: what JSON, JUnit XML, Markdown and terminal say of it is the same. The JSON holds the
// exact bits; the C library's printf rounds them for the comparison.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>
#include <sstream>

#include "absl/strings/ascii.h"
#include "report/brief.h"
#include "report/data_views.h"
#include "report/html.h"
#include "report/json.h"
#include "report/junit.h"
#include "report/markdown.h"
#include "report/order.h"
#include "report/terminal.h"
#include "unit/report/sample_run.h"

namespace brakeward::report {
namespace {

using Json = nlohmann::json;

struct Shown {
  std::string value, change, allowed, used;
};
using Place = std::pair<std::string, std::string>;  // scenario and measure

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

// "41.24 m" is the number and its unit.
std::string number_of(const std::string& cell) {
  return cell.substr(0, cell.find(' '));
}

std::map<Place, Shown> of_markdown(const std::string& text) {
  std::map<Place, Shown> shown;
  for (const std::string& line : lines_of(text)) {
    std::vector<std::string> cells;
    const std::regex bar(" ?\\| ?");
    for (std::sregex_token_iterator cell(line.begin(), line.end(), bar, -1), end; cell != end; ++cell)
      cells.push_back(*cell);
    if (cells.size() != 9 || cells[1] == "scenario" || cells[1] == "---") continue;
    shown[{cells[1], cells[2]}] = {number_of(cells[3]), cells[5], cells[6], cells[7]};
  }
  return shown;
}

std::map<Place, Shown> of_terminal(const std::string& text) {
  std::map<Place, Shown> shown;
  const std::regex row(
      "[!x?=-] (\\S+) +(\\S+) +(\\S+)(?: (?:m/s\\^2|m|ms|%))? +(\\S+) +(\\S+) +(\\S+(?: %)?) +\\w+");
  for (const std::string& line : lines_of(text)) {
    std::smatch found;
    if (std::regex_match(line, found, row))
      shown[{found[1], found[2]}] = {found[3], found[4], found[5], found[6]};
  }
  return shown;
}

// Of the tables of all scenarios: verdict, measure, value, baseline, unit, change, allowed, used, why.
std::map<Place, Shown> of_html(const std::string& text) {
  std::map<Place, Shown> shown;
  const std::regex tag("<[^>]*>"), cell("<t[dh][^>]*>(.*?)</t[dh]>");
  std::string scenario;
  for (const std::string& line : lines_of(text)) {
    std::smatch name;
    if (std::regex_search(line, name, std::regex("<span class=\"name\">([^<]*)</span>"))) scenario = name[1];
    if (line.rfind("<tr data-v=", 0) != 0) continue;
    std::vector<std::string> cells;
    for (std::sregex_iterator c(line.begin(), line.end(), cell), end; c != end; ++c)
      cells.push_back(std::regex_replace((*c)[1].str(), tag, ""));
    EXPECT_EQ(cells.size(), 9u) << line;
    shown[{scenario, cells[1]}] = {cells[2], cells[5], cells[6], cells[7]};
  }
  return shown;
}

std::string rounded(double value, int decimals) {
  char text[64];
  std::snprintf(text, sizeof text, "%.*f", decimals, value);
  return text;
}

const Json& measure_in(const Json& run, const Place& place) {
  for (const Json& s : run["scenarios"]) {
    if (s["scenario"] != place.first) continue;
    for (const Json& m : s["measures"])
      if (m["measure"] == place.second) return m;
  }
  ADD_FAILURE() << place.first << " " << place.second << " is not in the JSON";
  return run;
}

void expect_agrees(const Json& run, const std::map<Place, Shown>& shown, size_t at_least) {
  size_t compared = 0;
  for (const auto& [place, cells] : shown) {
    const Json& m = measure_in(run, place);
    const int decimals = form_of(place.second).decimals;
    if (!m.contains("value") || !m["value"].is_number()) continue;
    const double value = m["value"];
    EXPECT_EQ(cells.value, rounded(value, decimals)) << place.first;
    ++compared;
    if (m.contains("baseline")) {
      EXPECT_EQ(std::stod(cells.change), std::stod(rounded(value - double(m["baseline"]), decimals)))
          << place.first;
    }
    EXPECT_EQ(cells.allowed, m.contains("allowed_change") ? rounded(m["allowed_change"], decimals) : "-");
    if (cells.used != "limit") {
      EXPECT_EQ(cells.used,
                m.contains("tolerance_used") ? rounded(100 * double(m["tolerance_used"]), 0) + " %" : "-");
    }
  }
  EXPECT_GE(compared, at_least);
}

TEST(Agreement, TablesShowTheNumbersOfTheJson) {
  const verdict::Run run = sample_run();
  const Json json = Json::parse(render_json(run));
  expect_agrees(json, of_markdown(render_markdown(run)), 3);
  expect_agrees(json, of_terminal(render_terminal(run)), 4);
  expect_agrees(json, of_html(render_html(run, {})), 12);
  EXPECT_EQ(of_html(render_html(run, {})).size(), 30u) << "every measure of every scenario";
}

TEST(Agreement, TerminalAndMarkdownPrintOneMeasureTheSame) {
  const auto terminal = of_terminal(render_terminal(sample_run()));
  size_t both = 0;
  for (const auto& [place, cells] : of_markdown(render_markdown(sample_run()))) {
    const auto found = terminal.find(place);
    if (found == terminal.end()) continue;
    EXPECT_EQ(found->second.value, cells.value);
    EXPECT_EQ(found->second.change, cells.change);
    EXPECT_EQ(found->second.allowed, cells.allowed);
    EXPECT_EQ(found->second.used, cells.used);
    ++both;
  }
  EXPECT_GE(both, 3u);
}

// The JUnit prints value, baseline and tolerance used of what fails.
TEST(Agreement, JUnitShowsTheNumbersOfTheJson) {
  const verdict::Run run = sample_run();
  const Json json = Json::parse(render_json(run));
  const std::string xml = render_junit(run, "");
  const std::regex pattern(
      "<testcase name=\"(\\w+)\" classname=\"invented_library\\.(\\w+)\">\\s*<failure[^>]*>[^<]*&#10;"
      "value (\\S+) [^,]*, baseline (\\S+) [^,]*, tolerance used (\\S+ %)<");
  size_t compared = 0;
  for (std::sregex_iterator found(xml.begin(), xml.end(), pattern), end; found != end; ++found) {
    const Place place = {(*found)[2], (*found)[1]};
    const Json& m = measure_in(json, place);
    const int decimals = form_of(place.second).decimals;
    EXPECT_EQ((*found)[3], rounded(m["value"], decimals));
    EXPECT_EQ((*found)[4], rounded(m["baseline"], decimals));
    EXPECT_EQ((*found)[5], rounded(100 * double(m["tolerance_used"]), 0) + " %");
    ++compared;
  }
  EXPECT_EQ(compared, 3u);
}

TEST(Agreement, VerdictsAndCountsAreTheSame) {
  const verdict::Run run = sample_run();
  const Json json = Json::parse(render_json(run));
  std::map<std::string, int> scenarios, measures;
  for (const Json& s : json["scenarios"]) {
    ++scenarios[s["verdict"]];
    for (const Json& m : s["measures"]) ++measures[m["verdict"]];
  }
  const auto tally = [](std::map<std::string, int>& c, bool with_none) {
    std::string text = std::to_string(c["VERDICT_ERROR"]) + " error, " + std::to_string(c["VERDICT_FAIL"]) +
                       " fail, " + std::to_string(c["VERDICT_INCONCLUSIVE"]) + " inconclusive, " +
                       std::to_string(c["VERDICT_PASS"]) + " pass";
    return with_none ? text + ", " + std::to_string(c["VERDICT_NONE"]) + " none\n" : text + "\n";
  };
  for (const std::string& text : {render_terminal(run), render_markdown(run)}) {
    EXPECT_THAT(text, testing::HasSubstr("6 scenarios: " + tally(scenarios, false)));
    EXPECT_THAT(text, testing::HasSubstr("30 measures: " + tally(measures, true)));
  }
  const std::string html = render_html(run, {});
  EXPECT_THAT(html, testing::HasSubstr("30 measures: 1 error, 4 fail, 4 inconclusive, 12 pass, 9 none"));
  for (const auto& [verdict, count] : measures) {
    const std::string row = "<tr data-v=\"" + absl::AsciiStrToLower(verdict.substr(8)) + "\"";
    int rows = 0;
    for (size_t at = 0; (at = html.find(row, at)) != std::string::npos; ++at) ++rows;
    EXPECT_EQ(rows, count) << verdict;
  }
  EXPECT_EQ(json["verdict"], "VERDICT_ERROR");
  EXPECT_THAT(render_terminal(run), testing::HasSubstr("\n! verdict: error\n"));
  EXPECT_THAT(render_markdown(run), testing::StartsWith("## Brake calibration check: ! error\n"));
  for (const std::string& text : {render_markdown(run), std::string(json["caution"])})
    EXPECT_THAT(text, testing::HasSubstr("no release for road or track"));
}

TEST(Agreement, EveryViewTellsABaselineThatNobodyApproved) {
  verdict::Run run = sample_run();
  const auto views = [&] {
    return std::map<std::string, std::string>{
        {"brief", render_brief(run)},       {"terminal", render_terminal(run)},
        {"markdown", render_markdown(run)}, {"html", render_html(run, {})},
        {"junit", render_junit(run, "")},   {"hdf5", render_hdf5(measures_data(run))}};
  };
  const char* remark = "proposed only, approved by nobody";
  for (const auto& [name, text] : views()) EXPECT_THAT(text, Not(testing::HasSubstr(remark))) << name;
  EXPECT_FALSE(Json::parse(render_json(run)).contains("baseline_proposed_only"));
  run.baseline_proposed_only = true;
  auto told = views();
  for (const char* view : {"brief", "terminal", "markdown", "html"})
    EXPECT_THAT(told[view], testing::HasSubstr(std::string("spring_2 (") + remark + ")")) << view;
  EXPECT_THAT(told["junit"], testing::HasSubstr(std::string("<property name=\"baseline_approval\" value=\"") +
                                                remark + "\"/>"));
  EXPECT_THAT(told["hdf5"], testing::HasSubstr(remark));
  EXPECT_EQ(Json::parse(render_json(run))["baseline_proposed_only"], true);
}

}  // namespace
}  // namespace brakeward::report
