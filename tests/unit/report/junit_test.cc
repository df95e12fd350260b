// References: xmllint (libxml2) reads what is written and holds it against junit.xsd; it wins on
// disagreement.
#include "report/junit.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>

#include "document/text.h"
#include "report/text.h"
#include "unit/report/outside_reader.h"
#include "unit/report/sample_run.h"

namespace brakeward::report {
namespace {

using verdict::Verdict;

constexpr char kTimestamp[] = "2026-01-02T03:04:05";

// XML in a temporary file, asked by XPath.
class Document {
 public:
  explicit Document(const std::string& xml) : file_(xml) {}

  // "" means well-formed.
  std::string faults() const { return run("--noout --huge"); }
  // What the schema beside this test says against it; "... validates" when nothing.
  std::string against_schema() const {
    return run("--noout --schema " BRAKEWARD_SOURCE_DIR "/tests/unit/report/junit.xsd");
  }
  std::string ask(const std::string& xpath) const { return run("--huge --xpath '" + xpath + "'"); }
  int count(const std::string& xpath) const { return std::atoi(ask("count(" + xpath + ")").c_str()); }

 private:
  std::string run(const std::string& arguments) const {
    return output_of("xmllint " + arguments + " '" + file_.path() + "'");
  }

  TextFile file_;
};

class Junit : public testing::Test {
 protected:
  void SetUp() override {
    if (!can_run("xmllint --version")) {
      GTEST_SKIP() << "xmllint is not installed; the JUnit output was not checked against it (libxml2-utils)";
    }
  }

  // Attributes at every level say what the children are.
  static void expect_counts_match(const Document& xml) {
    EXPECT_EQ(xml.faults(), "");
    EXPECT_EQ(xml.count("/testsuites[@tests = count(testsuite/testcase)]"), 1);
    EXPECT_EQ(xml.count("/testsuites[@failures = count(testsuite/testcase/failure)]"), 1);
    EXPECT_EQ(xml.count("/testsuites[@errors = count(testsuite/testcase/error)]"), 1);
    EXPECT_EQ(
        xml.count("//testsuite[not(@tests = count(testcase) and @failures = count(testcase/failure) and "
                  "@errors = count(testcase/error) and @skipped = count(testcase/skipped))]"),
        0);
  }
};

TEST_F(Junit, CountsEqualTheChildren) {
  const Document xml(render_junit(sample_run(), kTimestamp));
  expect_counts_match(xml);
  EXPECT_EQ(xml.count("//testsuite"), 6);
  EXPECT_EQ(xml.count("//failure"), 4);
  EXPECT_EQ(xml.count("//error"), 1);
}

TEST_F(Junit, FollowsTheSchema) {
  verdict::Run aborted;
  aborted.library_name = "library";
  aborted.state = verdict::RunState::kAborted;
  aborted.verdict = Verdict::kError;
  for (const std::string& xml : {render_junit(sample_run(), kTimestamp), render_junit(sample_run(), ""),
                                 render_junit(aborted, kTimestamp)}) {
    EXPECT_THAT(Document(xml).against_schema(), testing::EndsWith(" validates"));
  }
}

// The schema itself must be able to say no.
TEST_F(Junit, TheSchemaRefusesWhatReadersDo) {
  const std::string good = render_junit(sample_run(), kTimestamp);
  const auto damaged = [&](const std::string& part, const std::string& by) {
    std::string text = good;
    EXPECT_NE(text.find(part), std::string::npos) << part;
    return text.replace(text.find(part), part.size(), by);
  };
  for (const std::string& xml : {
           damaged("<failure ", "<failed/><failure "),
           damaged(" classname=", " class="),
           damaged(kTimestamp, "2 January 2026"),
           damaged("time=\"0.750\"", "time=\"0,750\""),
           damaged("tests=\"", "tests=\"-"),
           damaged("<properties>", "<properties></properties><properties>"),
           damaged("name=\"front_share\"", "name=\"stopping_distance\""),
       }) {
    EXPECT_THAT(Document(xml).against_schema(), testing::EndsWith(" fails to validate"));
  }
}

TEST_F(Junit, ElementsAreThoseReadersKnowInTheirOrder) {
  const Document xml(render_junit(sample_run(), kTimestamp));
  EXPECT_EQ(xml.count("/testsuites/testsuite/*[1][self::properties]"), 6);
  EXPECT_EQ(xml.count("/testsuites/testsuite/*[not(self::properties or self::testcase)]"), 0);
  EXPECT_EQ(xml.count("//testcase/*[not(self::failure or self::error or self::skipped)]"), 0);
  EXPECT_EQ(xml.count("//testcase[count(*) > 1]"), 0);
  EXPECT_EQ(xml.count("//testcase[not(@name) or not(@classname)]"), 0);
  EXPECT_EQ(xml.ask("string(/testsuites/@time)"), "0.750");
}

TEST_F(Junit, VerdictsBecomeElementsWithTheirReasons) {
  const Document xml(render_junit(sample_run(), kTimestamp));
  const std::string failed =
      "//testcase[@name=\"stopping_distance\"][@classname=\"invented_library.wet_stop_80\"]";
  EXPECT_EQ(xml.ask("string(" + failed + "/failure/@message)"),
            "stopping distance grew by 0.84 m; allowed 0.40 m");
  EXPECT_EQ(xml.ask("string(" + failed + "/failure/@type)"), "fail");
  EXPECT_EQ(xml.ask("string(" + failed + "/failure)"),
            "stopping distance grew by 0.84 m; allowed 0.40 m\nvalue 41.24 m, baseline 40.40 m, tolerance "
            "used 210 %");
  EXPECT_EQ(xml.count("//testcase[@classname=\"invented_library.split_step\"]/error[@type=\"error\"]"), 1);
  EXPECT_EQ(
      xml.count(
          "//testsuite[@name=\"corner_entry_replay\"]//skipped[starts-with(@message, \"inconclusive: the "
          "replay leaves the recording\")]"),
      4);
  EXPECT_EQ(xml.ask("string(//testsuite[@name=\"wet_stop_80\"]//skipped/@message)"),
            "no tolerance for this class of scenario");
  EXPECT_EQ(xml.count("//testsuite[@name=\"dry_stop_100\"]/testcase[not(*)]"), 4);
}

TEST_F(Junit, PropertiesCarryWhatMadeTheResult) {
  const verdict::Run run = sample_run();
  const Document xml(render_junit(run, kTimestamp));
  const auto property = [&](const std::string& name) {
    return xml.ask("string(//testsuite[1]/properties/property[@name=\"" + name + "\"]/@value)");
  };
  EXPECT_EQ(property("calibration_sha256"), run.calibration_sha256);
  EXPECT_EQ(property("vehicle_sha256"), run.vehicle_sha256);
  EXPECT_EQ(property("baseline_event_build"), "spring_2");
  EXPECT_EQ(property("numerics_version"), "3");
  EXPECT_EQ(property("result_sha256"), run.result_sha256);
  EXPECT_EQ(property("caution"), verdict::caution());
  EXPECT_EQ(xml.count("//testsuite[@timestamp=\"2026-01-02T03:04:05\"]"), 6);
}

TEST_F(Junit, ARedScenarioIsNeverGreen) {
  verdict::Run run;
  run.library_name = "library";
  run.state = verdict::RunState::kCompleted;
  run.scenarios.resize(3);
  run.scenarios[0].scenario = "broken";
  run.scenarios[0].verdict = Verdict::kError;
  run.scenarios[0].reason = "the recording is gone";
  run.scenarios[1].scenario = "worse_than_its_measures";
  run.scenarios[1].verdict = Verdict::kFail;
  run.scenarios[1].reason = "drift";
  run.scenarios[1].measures.emplace_back().measure = "m";
  run.scenarios[1].measures[0].verdict = Verdict::kPass;
  run.scenarios[2].scenario = "nothing";
  run.scenarios[2].verdict = Verdict::kInconclusive;
  run.verdict = Verdict::kError;
  const Document xml(render_junit(run, ""));
  expect_counts_match(xml);
  EXPECT_EQ(xml.ask("string(//testsuite[@name=\"broken\"]/testcase[@name=\"scenario\"]/error/@message)"),
            "the recording is gone");
  EXPECT_EQ(xml.ask("string(//testcase[@name=\"scenario\"]/failure/@message)"), "drift");
  EXPECT_EQ(xml.count("//testsuite[@name=\"nothing\"]/testcase/skipped"), 1);
  EXPECT_EQ(xml.count("//testsuite[@timestamp]"), 0);
}

TEST_F(Junit, ARunWorseThanItsScenariosSaysSo) {
  verdict::Run run;
  run.library_name = "library";
  run.state = verdict::RunState::kAborted;
  run.verdict = Verdict::kInconclusive;
  const Document empty(render_junit(run, kTimestamp));
  expect_counts_match(empty);
  EXPECT_EQ(empty.ask("string(//testsuite[@name=\"run\"]/testcase/skipped/@message)"),
            "inconclusive: the run was aborted with 0 scenarios");
}

TEST_F(Junit, HostileTextStaysText) {
  const std::string hostile =
      "]]> <failure/> & \"double\" 'single' <!-- --> &amp; \t tab \n line \r return " +
      std::string("\0\x01\x08\x0b\x1b\x1f", 6) + " \xff\xfe \xef\xbf\xbf \xc2\x85 \xf0\x9f\x9b\x91";
  verdict::Run run = sample_run();
  run.library_name = hostile;
  run.calibration_name = hostile;
  for (verdict::ScenarioResult& s : run.scenarios) {
    s.scenario += hostile;
    s.reason = hostile;
    for (verdict::MeasureResult& m : s.measures) m.measure += hostile, m.reason = hostile;
  }
  run.scenarios[1].measures[0].reason = std::string(200000, '&');
  const Document xml(render_junit(run, hostile));
  expect_counts_match(xml);
  EXPECT_EQ(xml.count("//testsuite"), 6);
  EXPECT_EQ(xml.count("//failure"), 4) << "no element came in through the text";
  // libxml2 gives the text back; what XML 1.0 forbids is U+FFFD, the rest is as it was.
  EXPECT_EQ(xml.ask("string(/testsuites/@name)"), document::clean(hostile, true));
  EXPECT_EQ(xml.ask("string(//testsuite[@name=concat(\"split_step\", /testsuites/@name)]//error)")
                .find(document::clean(hostile, true)),
            0u);
}

TEST_F(Junit, IsTheSameEveryTime) {
  EXPECT_EQ(render_junit(sample_run(), kTimestamp), render_junit(sample_run(), kTimestamp));
}

}  // namespace
}  // namespace brakeward::report
