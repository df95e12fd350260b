// References: libxml2's HTML parser for what the text is to a reader, OpenSSL for the script's hash.
#include "report/html.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "document/text.h"
#include "measure/catalogue.h"
#include "report/html_text.h"
#include "unit/report/outside_reader.h"
#include "unit/report/sample_run.h"
#include "unit/report/sample_traces.h"
#include "unit/verdict/scenario_builder.h"
#include "verdict/concat.h"

namespace brakeward::report {
namespace {

using testing::HasSubstr;
using testing::Not;
using verdict::Verdict;

HtmlExtras sample_extras() {
  HtmlExtras extras;
  extras.figures = {make_figure(sample_traces("wet_stop_80"))};
  for (const char* name : {"softer_bite", "spring_2"}) {
    BalanceCurve& curve = extras.balance.emplace_back(BalanceCurve{name, "0", 0.62, {}});
    for (int i = 1; i <= 10; ++i) {
      const double z = 0.1 * i;
      curve.points.push_back({z, 0.55 + 0.2 * z, 0.7, 1.1 * z, i == 10 ? INFINITY : 0.8 * z});
    }
  }
  return extras;
}

std::string sample_page() {
  return render_html(sample_run(), sample_extras());
}

// Everything up to the embedded script.
std::string without_script(const std::string& page) {
  return page.substr(0, page.rfind("<script>"));
}

TEST(Html, HasEverySection) {
  const std::string page = sample_page();
  EXPECT_THAT(page, testing::StartsWith("<!DOCTYPE html>\n<html lang=\"en\">"));
  EXPECT_THAT(page, testing::EndsWith("</body>\n</html>\n"));
  for (const char* id :
       {"worst", "changes", "map", "scenarios", "balance", "not-judged", "compared", "measures"}) {
    EXPECT_THAT(page, HasSubstr(verdict::concat("<section id=\"", std::string_view(id), "\">")));
    EXPECT_THAT(page, HasSubstr(verdict::concat("href=\"#", std::string_view(id), "\"")));
  }
  EXPECT_THAT(page, HasSubstr("6 scenarios: 1 error, 2 fail, 2 inconclusive, 1 pass"));
  EXPECT_THAT(page, HasSubstr("<strong>Caution.</strong> A pass is evidence for an engineer"));
  EXPECT_THAT(page, HasSubstr("<em>Would settle it: "));
  EXPECT_THAT(page, HasSubstr("<code>pressure_control.prefill_bar</code></th><td class=\"n\">8 bar</td><td "
                              "class=\"n\">unset (0 bar)</td>"));
  EXPECT_THAT(page, HasSubstr("Fault from 1.00 s to 1.50 s: track open, hand a."));
  EXPECT_THAT(page, HasSubstr("from <strong>0.62 g</strong>"));
  EXPECT_THAT(page, HasSubstr("<td class=\"n\">lifted</td>"));
  EXPECT_EQ(sample_page(), page);
}

TEST(Html, TheMapHasRoomForTheWholeCatalogue) {
  verdict::Run run = sample_run();
  for (const measure::MeasureInfo& info : measure::catalogue()) {
    verdict::MeasureResult& judged = run.scenarios.front().measures.emplace_back();
    judged.measure = std::string(info.name);
    judged.verdict = Verdict::kPass;
  }
  run.scenarios.front().measures.emplace_back().measure = "judged_by_nobody";
  const std::string page = render_html(run, {});
  EXPECT_THAT(page, HasSubstr("<table class=\"map\">"));
  EXPECT_THAT(page, Not(HasSubstr("so few or so many")));
  for (const measure::MeasureInfo& info : measure::catalogue())
    EXPECT_THAT(page, HasSubstr(verdict::concat("<th scope=\"col\"><span>", info.name, "</span></th>")));
  EXPECT_THAT(page, Not(HasSubstr("<span>judged_by_nobody</span></th>")));
}

TEST(Html, AMeasureLooksLikeThis) {
  EXPECT_THAT(
      sample_page(),
      HasSubstr("<tr data-v=\"fail\" data-m=\"stopping_distance\"><td><span class=\"badge fail\"><span "
                "aria-hidden=\"true\">✗</span> fail</span></td><th scope=\"row\">"
                "<code>stopping_distance</code></th><td class=\"n\">41.24</td><td class=\"n\">40.40</td>"
                "<td>m</td><td class=\"n\">+0.84</td><td class=\"n\">0.40</td><td class=\"used\"><span "
                "class=\"bar over\" style=\"--u:200\"></span>210 %</td><td class=\"why\">stopping distance "
                "grew by 0.84 m; allowed 0.40 m</td></tr>"));
}

// One bit beyond the tolerance must not read as on it.
TEST(Html, AFailingValueNeverReadsAsPassing) {
  verdict::Run run;
  run.scenarios.push_back(verdict::stop(40.5000000001).judge());
  EXPECT_THAT(render_html(run, {}),
              HasSubstr("<td class=\"n\">+0.5000000001</td><td class=\"n\">0.5000000000</td>"));
}

TEST(Html, SaysWhatIsMissing) {
  HtmlExtras extras;
  extras.why_no_figures = extras.why_no_balance = "the check ran <elsewhere>";
  verdict::Run run = sample_run();
  run.calibration_changes.clear();
  run.baseline_event_build.clear();
  run.state = verdict::RunState::kAborted;
  const std::string page = render_html(run, extras);
  EXPECT_THAT(page, HasSubstr("No traces are drawn: the check ran &lt;elsewhere&gt;."));
  EXPECT_THAT(page, HasSubstr("Not drawn: the check ran &lt;elsewhere&gt;."));
  EXPECT_THAT(page, HasSubstr("There is no baseline whose calibration"));
  EXPECT_THAT(page, HasSubstr("The run is not complete: aborted."));
  EXPECT_THAT(render_html({}, {}), HasSubstr("Nothing was judged."));
}

TEST(Html, DrawsWhatDoesNotPassAndTheTwentyNearestToTheirTolerance) {
  verdict::Run run;
  for (int i = 0; i < 60; ++i) {
    run.scenarios.push_back(verdict::stop(40 + 0.4 * i / 60.0).judge());
    run.scenarios.back().scenario = std::to_string(i);
  }
  for (size_t i = 0; i < 30; ++i) run.scenarios[i].verdict = Verdict::kFail;
  std::vector<std::string> drawn;
  for (const auto* s : scenarios_to_draw(run)) drawn.push_back(s->scenario);
  EXPECT_EQ(drawn.size(), 50u);
  EXPECT_THAT(drawn, testing::Contains("0"));
  EXPECT_THAT(drawn, testing::Contains("40"));
  EXPECT_THAT(drawn, Not(testing::Contains("39")));
}

// Nothing is fetched, and the one script that may run is the embedded one.
TEST(Html, NeedsNothingElse) {
  const std::string page = sample_page();
  const size_t begin = page.rfind("<script>") + 8;
  const TextFile file(page.substr(begin, page.rfind("</script>") - begin));
  if (!can_run("openssl version")) GTEST_SKIP() << "openssl is not installed";
  const std::string hash =
      output_of("openssl dgst -sha256 -binary '" + file.path() + "' | openssl base64 -A");
  EXPECT_THAT(page, HasSubstr("content=\"default-src 'none'; img-src data:; style-src 'unsafe-inline'; "
                              "script-src 'sha256-" +
                              hash + "'\">"));
  const std::string body = without_script(page);
  for (const char* reach :
       {"src=", "@import", "url(", "http:", "https:", "<iframe", "<object", "<form action"})
    EXPECT_THAT(body, Not(HasSubstr(reach)));
  EXPECT_THAT(page, HasSubstr("Permission is hereby granted")) << "the licence of the plot library";
}

std::string hostile() {
  return "</script><script>alert(1)</script><img src=x onerror=alert(2)> \" onmouseover=\"alert(3)\" ' &lt; "
         "&#x3c; <!-- ]]> {{x}} ${y} \\u003c --> javascript:alert(4) \n\r\t" +
         std::string("\xe2\x80\xae\xe2\x80\xa8", 6) + std::string("\0\x1b[31m", 6) + "\xff";
}

std::string page_with(const std::string& text) {
  verdict::Run run = sample_run();
  HtmlExtras extras = sample_extras();
  run.run_id = run.finished_at = run.event_build = run.library_name = run.baseline_event_build = text;
  run.calibration_name = run.vehicle_name = run.calibration_sha256 = run.vehicle_sha256 = text;
  run.result_sha256 = text;
  for (verdict::ScenarioResult& s : run.scenarios) {
    if (s.scenario == extras.figures[0].scenario) extras.figures[0].scenario += text;
    s.scenario += text;
    s.scenario_class += text;
    s.reason = text;
    if (s.reproduction) s.reproduction->calibration_name = text;
    for (verdict::MeasureResult& m : s.measures) m.measure += text, m.reason += text;
  }
  for (verdict::CalibrationChange& c : run.calibration_changes) c = {text, text, text};
  for (FaultSpan& f : extras.figures[0].faults) f.what = text;
  extras.figures[0].quiet = {text};
  for (BalanceCurve& c : extras.balance) c.calibration = c.step = text;
  extras.why_no_figures = text;
  return render_html(run, extras);
}

// The page without the data of its figure, in which only "<" would mean anything.
std::string without_figure_data(const std::string& page) {
  const size_t begin = page.find("application/json\">") + 18;
  return page.substr(0, begin) + page.substr(page.find("</script>", begin));
}

TEST(Html, HostileTextChangesNothingOfTheStructure) {
  const std::string page = without_script(page_with(hostile()));
  const std::string wild = without_figure_data(page);
  const std::string tame = without_figure_data(without_script(page_with("x")));
  for (const char c : {'<', '>', '"'})
    EXPECT_EQ(std::count(tame.begin(), tame.end(), c), std::count(wild.begin(), wild.end(), c)) << c;
  EXPECT_THAT(wild, Not(HasSubstr("<img")));
  EXPECT_THAT(wild, Not(HasSubstr("\" onmouseover")));
  EXPECT_THAT(wild, HasSubstr("&lt;img src=x onerror=alert(2)&gt; &quot; onmouseover=&quot;"));
  EXPECT_THAT(page, HasSubstr("\\u003c/script>\\u003cscript>alert(1)")) << "in a figure's data";
  EXPECT_EQ(document::clean(page, true), page);
}

class HtmlTree : public testing::Test {
 protected:
  void SetUp() override {
    if (!can_run("xmllint --version")) GTEST_SKIP() << "xmllint is not installed";
  }
  static std::string ask(const std::string& page, const std::string& xpath) {
    const TextFile file(page);
    // It knows no elements of HTML 5 and says so.
    return output_of("(xmllint --html --huge --xpath '" + xpath + "' '" + file.path() + "' 2>/dev/null)");
  }
};

TEST_F(HtmlTree, AnotherParserSeesTheSameElementsWhateverTheText) {
  const std::string tame = page_with("x"), wild = page_with(hostile());
  for (const char* what :
       {"//*", "//@*", "//script", "//tr", "//details", "//*[@onerror or @onmouseover]", "//img"}) {
    const std::string xpath = verdict::concat("count(", std::string_view(what), ")");
    EXPECT_EQ(ask(tame, xpath), ask(wild, xpath)) << what;
  }
  EXPECT_EQ(ask(wild, "count(//script)"), "2") << "the figure's data and the embedded one";
  EXPECT_EQ(ask(wild, "count(//img | //*[@onerror or @onmouseover])"), "0");
}

TEST_F(HtmlTree, TextComesBackAsItself) {
  const std::string text = "a<b> & \"c\" 'd' &lt; e</td>";
  const std::string page = verdict::concat("<p title=\"", html(text), "\">", html(text), "</p>");
  EXPECT_EQ(ask(page, "string(//p)"), text);
  EXPECT_EQ(ask(page, "string(//p/@title)"), text);
}

TEST(HtmlText, CutsWholeCharacters) {
  EXPECT_EQ(html("abcdef", 6), "abcdef");
  EXPECT_EQ(html("abcdefg", 6), "abcdef…");
  EXPECT_EQ(html("aé", 2), "a…");
  EXPECT_EQ(html("a\"'b"), "a&quot;&#39;b");
}

TEST(Html, StaysUnderItsSizeWhateverTheRun) {
  verdict::Run run = sample_run();
  HtmlExtras extras = sample_extras();
  const std::string huge(5000, '"');
  run.run_id = run.event_build = run.library_name = run.baseline_event_build = huge;
  run.calibration_name = run.vehicle_name = run.calibration_sha256 = run.vehicle_sha256 = huge;
  run.calibration_changes.assign(1000, {huge, huge, huge});
  const std::vector<verdict::ScenarioResult> six = run.scenarios;
  const Figure figure = extras.figures[0];
  for (int i = 0; i < 600; ++i) {
    run.scenarios.push_back(six[static_cast<size_t>(i % 6)]);
    run.scenarios.back().scenario = verdict::concat("scenario ", i);
    extras.figures.push_back(figure);
    extras.figures.back().scenario = run.scenarios.back().scenario;
  }
  EXPECT_LT(render_html(run, extras).size(), kMostHtmlBytes);
  EXPECT_THAT(render_html(run, extras), HasSubstr("Its traces are left out to keep this file small"));
  int n = 0;
  for (verdict::ScenarioResult& s : run.scenarios)
    for (verdict::MeasureResult& m : s.measures) m.measure = std::to_string(++n) + huge, m.reason = m.measure;
  const std::string page = render_html(run, extras);
  EXPECT_LT(page.size(), kMostHtmlBytes);
  EXPECT_THAT(page, HasSubstr("left out to keep this file small; the JSON has them all."));
  EXPECT_THAT(page, HasSubstr("And 700 more values; the JSON has them all."));
}

}  // namespace
}  // namespace brakeward::report
