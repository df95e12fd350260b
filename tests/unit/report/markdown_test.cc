// Reference: cmark-gfm, the reference implementation of GitHub-flavoured Markdown, and libxml2 on the
// document tree it writes; they win on disagreement.
#include "report/markdown.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <random>

#include "document/text.h"
#include "report/markdown_text.h"
#include "report/text.h"
#include "unit/report/outside_reader.h"
#include "unit/report/sample_run.h"
#include "unit/verdict/scenario_builder.h"

namespace brakeward::report {
namespace {

using testing::HasSubstr;
using testing::Not;
using verdict::Verdict;

constexpr size_t kMostBytes = 60000;
constexpr size_t kAmple = 100000;

constexpr char kGoldenHead[] = R"(## Brake calibration check: ! error

- 6 scenarios: 1 error, 2 fail, 2 inconclusive, 1 pass
- 30 measures: 1 error, 4 fail, 4 inconclusive, 12 pass, 9 none

### What was compared

| | |
| --- | --- |
| candidate | softer_bite, SHA-256 aaaaaaaaaaaa |
| baseline | spring_2 |
| vehicle | invented_single_seater, SHA-256 bbbbbbbbbbbb |
| library | invented_library |
| numerics version | 3 |
)";

constexpr char kGoldenFindings[] = R"(
### The worst findings

| scenario | measure | value | baseline | change | allowed | tolerance used | verdict |
| --- | --- | ---: | ---: | ---: | ---: | ---: | --- |
| split_step | adhesion_use | - | - | - | - | - | ! error |
| wet_stop_80 | stopping_distance | 41.24 m | 40.40 m | +0.84 | 0.40 | 210 % | ✗ fail |
| wet_stop_80 | peak_deceleration | 8.25 m/s^2 | 8.75 m/s^2 | -0.50 | 0.38 | 133 % | ✗ fail |
| dry_stop_at_limit | peak_deceleration | 9.00 m/s^2 | 8.75 m/s^2 | +0.25 | 0.38 | limit | ✗ fail |
| wet_stop_80 | pressure_onset | never | 182 ms | - | - | - | ✗ fail |

- ! split_step, adhesion_use: adhesion use came out as a value that is not finite; the replay broke down
- ✗ wet_stop_80, stopping_distance: stopping distance grew by 0.84 m; allowed 0.40 m
- ✗ wet_stop_80, peak_deceleration: peak deceleration fell by 0.50 m/s^2; allowed 0.38 m/s^2
- ✗ dry_stop_at_limit, peak_deceleration: peak deceleration is 9.0000000 m/s^2; the limit is at least 9.0000001 m/s^2 (invented house rule)
- ✗ wet_stop_80, pressure_onset: pressure onset never came; the baseline had 182 ms

5 more findings do not pass; the JSON and the terminal have them all.

### What the candidate changes

| address | before | after |
| --- | ---: | ---: |
| hand_control.dead_band_mm | 1.5 mm | 2 mm |
)";

TEST(Markdown, LooksLikeThis) {
  const std::string text = render_markdown(sample_run());
  EXPECT_EQ(text.substr(0, sizeof kGoldenHead - 1), kGoldenHead);
  EXPECT_THAT(text, HasSubstr(kGoldenFindings));
  EXPECT_THAT(text, HasSubstr("\n> **Caution.** " + std::string(verdict::caution()) + "\n"));
  EXPECT_EQ(render_markdown(sample_run()), text);
}

TEST(Markdown, SaysWhatWouldSettleWhatWasNotJudged) {
  const std::string text = render_markdown(sample_run());
  EXPECT_THAT(text, HasSubstr("- ? inconclusive, 4 measures in corner_entry_replay: the replay leaves the "
                              "recording by more than 0.5 m/s^2 for 2.40 s; a recording with line "
                              "pressure on both axles would settle"));
  EXPECT_THAT(text,
              HasSubstr("- ? inconclusive, line_pressure_log as a whole: nothing was judged: recorded"));
  EXPECT_THAT(text, HasSubstr("- none, 4 measures in 4 scenarios: no tolerance for this class of scenario "
                              "(would settle it: a tolerance"));
  // The sentences of the verdict room, so that a reworded one does not lose its remedy.
  const auto reason = [](const verdict::Comparison& c) { return c.judge("stopping_distance").reason; };
  const verdict::Comparison bare = verdict::Comparison().value("stopping_distance", verdict::measured(40));
  verdict::Comparison no_baseline = bare, no_value = bare, never;
  no_baseline.tolerance("stopping_distance", 1);
  no_value.tolerance("stopping_distance", 1).baseline("peak_deceleration", 8);
  never.value("stopping_distance", verdict::never())
      .tolerance("stopping_distance", 1)
      .baseline("stopping_distance", std::nullopt);
  verdict::Comparison bypassed = verdict::stop(40);
  bypassed.input().trust.calibration_bypassed = true;
  for (const verdict::Comparison& c : {bare, no_baseline, no_value, never, bypassed}) {
    verdict::Run run;
    run.scenarios.emplace_back().measures.push_back(c.judge("stopping_distance"));
    EXPECT_THAT(render_markdown(run), HasSubstr("(would settle it: ")) << reason(c);
  }
}

TEST(Markdown, CalibrationChangesAreCappedAndTheirAbsenceIsSaid) {
  verdict::Run run = sample_run();
  run.calibration_changes.assign(31, {"pedal.dead_band_n", "15 N", "16 N"});
  EXPECT_THAT(render_markdown(run), HasSubstr("\nand 1 more value.\n"));
  run.calibration_changes.clear();
  EXPECT_THAT(render_markdown(run), HasSubstr("No value differs from the baseline's calibration.\n"));
  run.baseline_event_build.clear();
  EXPECT_THAT(render_markdown(run), HasSubstr("There is no baseline whose calibration"));
  EXPECT_THAT(render_markdown(run), HasSubstr("| baseline | none: changes cannot be judged"));
}

TEST(Markdown, WhatAServiceAddsIsShown) {
  verdict::Run run = sample_run();
  EXPECT_THAT(render_markdown(run), Not(HasSubstr("| run |")));
  run.run_id = "run-7";
  run.finished_at = "2026-01-02T03:04:05Z";
  run.event_build = "spring_3";
  EXPECT_THAT(render_markdown(run), HasSubstr("| marked as event build | spring_3 |\n"));
  EXPECT_THAT(render_markdown(run), HasSubstr("| run | run-7 |\n"));
  EXPECT_THAT(render_markdown(run), HasSubstr("| finished at | 2026-01-02T03:04:05Z |\n"));
}

TEST(Markdown, ARunThatBrokeOffOrAScenarioWithoutMeasuresIsNotHidden) {
  verdict::Run run;
  run.state = verdict::RunState::kAborted;
  run.verdict = Verdict::kError;
  EXPECT_THAT(render_markdown(run), HasSubstr("**The run is not complete: aborted.**"));
  EXPECT_THAT(render_markdown(run), HasSubstr("Nothing was judged."));
  verdict::ScenarioResult& s = run.scenarios.emplace_back();
  s.scenario = "broken";
  s.verdict = Verdict::kError;
  s.reason = "the recording is gone";
  EXPECT_THAT(render_markdown(run),
              HasSubstr("| broken | the scenario itself | - | - | - | - | - | ! error |"));
  EXPECT_THAT(render_markdown(run), HasSubstr("- ! broken: the recording is gone\n"));
}

// One bit beyond the tolerance must not read as on it.
TEST(Markdown, AFailingValueNeverReadsAsPassing) {
  verdict::Run run;
  run.scenarios.push_back(verdict::stop(40.5000000001).judge());
  const std::string text = render_markdown(run);
  EXPECT_THAT(text, HasSubstr("| +0.5000000001 | 0.5000000000 | 100.00000002 % | ✗ fail |"));
}

std::string hostile() {
  return "| `code` **bold** _it_ [link](http://a.example) ![i](x) <img src=x onerror=y> <!-- @everyone #12 "
         "!3 "
         "~~gone~~ $1$ :warning: www.a.example a@b.example \\| \n\n# heading\n- item\n---\n```\n" +
         std::string("\xe2\x80\xae", 3) + " &lt;b&gt; </td> " + std::string("\0\x1b[31m", 6) + "\xff";
}

verdict::Run hostile_run() {
  verdict::Run run = sample_run();
  run.run_id = run.finished_at = run.event_build = run.library_name = run.baseline_event_build = hostile();
  run.calibration_name = run.vehicle_name = run.calibration_sha256 = run.vehicle_sha256 = hostile();
  for (verdict::ScenarioResult& s : run.scenarios) {
    s.scenario += hostile();
    s.reason = hostile();
    for (verdict::MeasureResult& m : s.measures) m.measure += hostile(), m.reason += hostile();
  }
  for (verdict::CalibrationChange& c : run.calibration_changes) c = {hostile(), hostile(), hostile()};
  return run;
}

class MarkdownTree : public testing::Test {
 protected:
  void SetUp() override {
    if (!can_run("cmark-gfm --version") || !can_run("xmllint --version")) {
      GTEST_SKIP() << "cmark-gfm or xmllint is not installed; the Markdown was not read by another program";
    }
  }

  // The tree as GFM reads it, without the document type and name space that XPath would have to name.
  static std::string tree_of(const std::string& text) {
    const TextFile file(text);
    std::string xml =
        output_of("cmark-gfm -e table -e strikethrough -e autolink -t xml '" + file.path() + "'");
    xml.erase(xml.find("<!DOCTYPE"), xml.find('\n', xml.find("<!DOCTYPE")) - xml.find("<!DOCTYPE"));
    const std::string name_space = " xmlns=\"http://commonmark.org/xml/1.0\"";
    xml.erase(xml.find(name_space), name_space.size());
    return xml;
  }
  static std::string ask(const std::string& xml, const std::string& xpath) {
    const TextFile file(xml);
    return output_of("xmllint --huge --xpath '" + xpath + "' '" + file.path() + "'");
  }
  static int count(const std::string& xml, const std::string& xpath) {
    return std::atoi(ask(xml, "count(" + xpath + ")").c_str());
  }
  // Of a node with nothing but one piece of text in it; the tree is printed indented.
  static std::string text_of(const std::string& xml, const std::string& node) {
    return ask(xml, "string(" + node + "/text)");
  }
  // The text of a cell or paragraph as a reader sees it.
  static std::string read_text(const std::string& markdown_text) {
    return text_of(tree_of("x " + markdown_text + "\n"), "/document/paragraph");
  }
};

void expect_shape(const std::string& xml, int (*count)(const std::string&, const std::string&)) {
  EXPECT_EQ(count(xml, "/document/table"), 3);
  EXPECT_EQ(count(xml, "//table[1]/*[count(table_cell) != 2]"), 0);
  EXPECT_EQ(count(xml, "//table[2]/*[count(table_cell) != 8]"), 0);
  EXPECT_EQ(count(xml, "//table[2]/table_row"), 5);
  EXPECT_EQ(count(xml, "//table[3]/*[count(table_cell) != 3]"), 0);
  EXPECT_EQ(count(xml, "//heading"), 5);
  EXPECT_EQ(count(xml, "//list"), 3);
  EXPECT_EQ(count(xml, "//list//list"), 0);
  EXPECT_EQ(count(xml, "//strong"), 1) << "the caution's own";
  EXPECT_EQ(count(xml, "//block_quote"), 1);
  EXPECT_EQ(count(xml,
                  "//link | //image | //code | //code_block | //emph | //strikethrough | //html_inline | "
                  "//html_block | //thematic_break | //softbreak | //linebreak"),
            0);
}

TEST_F(MarkdownTree, IsTheTablesAndListsItIsMeantToBe) {
  expect_shape(tree_of(render_markdown(sample_run())), count);
}

TEST_F(MarkdownTree, HostileNamesAndReasonsChangeNothingOfTheShape) {
  const std::string text = render_markdown(hostile_run());
  expect_shape(tree_of(text), count);
  EXPECT_LT(text.size(), kMostBytes);
}

// Pieces that mean something, in every order: what a reader sees is the cleaned text, with word joiners.
TEST_F(MarkdownTree, AnyTextComesBackAsItself) {
  const std::vector<std::string> pieces = {"|",    "`",  "*", "_",   "[",       "]",    "(", ")", "<",   ">",
                                           "&lt;", "\\", "#", "!",   "~",       "-",    "+", "=", "1. ", "@a",
                                           "www.", "$",  ":", "://", "mailto:", "\n\n", "a", "9", "  ",  "é"};
  std::mt19937_64 bits{3};
  std::string all = "| t |\n| --- |\n";
  std::vector<std::string> wanted;
  for (int i = 0; i < 400; ++i) {
    std::string text = "a";
    for (int k = 0; k < 8; ++k) text += pieces[bits() % pieces.size()];
    text += "z";
    all += "| " + markdown(text, kAmple) + " |\n";
    wanted.push_back(document::clean(text));
  }
  const std::string xml = tree_of(all);
  EXPECT_EQ(count(xml, "//table_cell"), 401);
  EXPECT_EQ(count(xml, "//table_cell//*[not(self::text)]"), 0);
  EXPECT_EQ(count(xml, "//table_row[count(table_cell/text) != 1]"), 0);
  for (size_t i = 0; i < wanted.size(); i += 8) {
    std::string seen = text_of(xml, "//table_row[" + std::to_string(i + 1) + "]/table_cell");
    for (size_t at; (at = seen.find("\xe2\x81\xa0")) != std::string::npos;) seen.erase(at, 3);
    EXPECT_EQ(seen, wanted[i]);
  }
  EXPECT_EQ(read_text(markdown("- not an item", kAmple)), "x - not an item");
}

TEST(MarkdownText, BeginsNoBlockAndNoMention) {
  EXPECT_EQ(markdown("- a", kAmple), "&#45; a");
  EXPECT_EQ(markdown("12. a", kAmple), "&#49;2. a");
  EXPECT_EQ(markdown("  a_b _c_ ", kAmple), "a_b &#95;c&#95;");
  EXPECT_EQ(markdown("by @team", kAmple), "by &#64;&#8288;team");
  EXPECT_EQ(markdown("closes #12, see www.a.example", kAmple),
            "closes &#35;&#8288;12, see www&#8288;.a.example");
  EXPECT_EQ(markdown("", kAmple), "");
}

TEST(MarkdownText, CutsWholeCharacters) {
  EXPECT_EQ(markdown("abcdef", 6), "abcdef");
  EXPECT_EQ(markdown("abcdefg", 6), "abc\xe2\x80\xa6");
  EXPECT_EQ(markdown("a||||", 10), "a&#124;\xe2\x80\xa6") << "no half reference";
  for (size_t most = 3; most < 40; ++most) {
    const std::string cut = markdown("é|ü@b" + std::string(50, '*'), most);
    EXPECT_LE(cut.size(), most);
    EXPECT_EQ(document::clean(cut), cut) << "no half character";
  }
}

TEST(Markdown, StaysSmallWhateverTheRun) {
  verdict::Run run = hostile_run();
  const std::string huge(100000, '&');
  run.run_id = run.finished_at = run.event_build = run.library_name = run.baseline_event_build = huge;
  run.calibration_name = run.vehicle_name = run.calibration_sha256 = run.vehicle_sha256 = huge;
  run.calibration_changes.assign(1000, {huge, huge, huge});
  for (int i = 0; i < 200; ++i) run.scenarios.push_back(run.scenarios[static_cast<size_t>(i % 6)]);
  int n = 0;
  for (verdict::ScenarioResult& s : run.scenarios) {
    s.scenario = huge;
    for (verdict::MeasureResult& m : s.measures) m.measure = huge, m.reason = std::to_string(++n) + huge;
  }
  const std::string text = render_markdown(run);
  EXPECT_LT(text.size(), kMostBytes);
  EXPECT_THAT(text, HasSubstr("\nand 970 more values.\n"));
}

}  // namespace
}  // namespace brakeward::report
