// The outputs of a check: JSON, JUnit, terminal. References: protobuf's own JSON parser, libxml2 (xmllint),
// RFC 8259 and ECMA-48 (an escape code begins with byte 0x1b).

#include <gtest/gtest.h>
#include <unistd.h>

#include <regex>

#include "end_to_end/library_copy.h"

namespace brakeward::end_to_end {
namespace {

namespace fs = std::filesystem;

constexpr const char* kCaution = "no release for road or track";

class Outputs : public testing::Test {
 protected:
  void SetUp() override {
    library.keep({"step_hand", "ramp_hand", "corrie_dry_60"});
    library.make_baseline();
    bad = library.candidate([](v1::Calibration& c) { c.mutable_hand_control()->set_low_pass_hz(2); });
  }

  LibraryCopy library;
  std::string bad;
};

std::string without_timings(v1::Run run) {
  run.clear_duration_s();
  run.clear_finished_at();
  return run.SerializeAsString();
}

std::string squeezed(const std::string& text) {
  return std::regex_replace(text, std::regex("\\s+"), " ");
}

TEST_F(Outputs, JsonIsARunWithEverythingInIt) {
  v1::Run run;
  const Outcome outcome = library.check(bad, run);
  EXPECT_EQ(outcome.exit_code, 1) << outcome.err;
  EXPECT_EQ(run.calibration_name(), "candidate");
  EXPECT_EQ(run.vehicle_name(), "sorrel");
  EXPECT_EQ(run.baseline_event_build(), "test");
  EXPECT_EQ(run.calibration_sha256().size(), 64u);
  EXPECT_EQ(run.result_sha256().size(), 64u);
  EXPECT_NE(run.caution().find(kCaution), std::string::npos);
  ASSERT_EQ(run.scenarios_size(), 3) << "every scenario of the library is in the run";
  EXPECT_EQ(run.scenarios(0).scenario(), "step_hand") << "in library order";
  EXPECT_EQ(run.scenarios(2).scenario(), "corrie_dry_60");
  v1::Verdict worst = v1::VERDICT_NONE;
  for (const auto& s : run.scenarios()) worst = std::max(worst, s.verdict());
  EXPECT_EQ(run.verdict(), worst);
}

TEST_F(Outputs, SameInputGivesTheSameResultWhateverTheThreads) {
  v1::Run first, second, one, two;
  library.check(bad, first);
  library.check(bad, second);
  library.check(bad, one, {"--threads", "1"});
  library.check(bad, two, {"--threads", "2"});
  for (const v1::Run& other : {second, one, two}) {
    EXPECT_EQ(first.result_sha256(), other.result_sha256());
    EXPECT_EQ(without_timings(first), without_timings(other));
  }
}

TEST_F(Outputs, HtmlIsTheSameWhateverTheThreads) {
  const std::regex when("<dt>(finished at|replayed)</dt><dd>[^<]*</dd>");
  std::string pages[2];
  for (int i = 0; i < 2; ++i) {
    const std::string page = library.beside("run.html");
    const Outcome outcome = library.check(bad, {"--html", page, "--threads", i == 0 ? "1" : "4"});
    EXPECT_EQ(outcome.exit_code, 1) << outcome.err;
    pages[i] = std::regex_replace(read_file(page), when, "");
  }
  EXPECT_EQ(pages[0], pages[1]);
  EXPECT_NE(pages[0].find(kCaution), std::string::npos);
  for (const char* scenario : {"step_hand", "ramp_hand", "corrie_dry_60"})
    EXPECT_NE(pages[0].find("{\"scenario\":\"" + std::string(scenario) + "\",\"tick\":"), std::string::npos)
        << "it has a figure";
}

TEST_F(Outputs, TheResultHashFollowsTheValues) {
  v1::Run run, other;
  library.check(bad, run);
  library.check(
      library.candidate([](v1::Calibration& c) { c.mutable_hand_control()->set_low_pass_hz(2.001); }), other);
  EXPECT_NE(run.result_sha256(), other.result_sha256());
  // A remark is no value: it must change nothing.
  v1::Run remarked;
  library.check(library.candidate([](v1::Calibration& c) {
    c.mutable_hand_control()->set_low_pass_hz(2);
    c.set_remark(c.remark());
  }),
                remarked);
  EXPECT_EQ(run.result_sha256(), remarked.result_sha256());
}

TEST_F(Outputs, JUnitIsWellFormedAndCountsWhatItHolds) {
  const std::string junit = library.beside("run.xml");
  v1::Run run;
  EXPECT_EQ(library.check(bad, run, {"--junit", junit}).exit_code, 1);
  const std::string text = read_file(junit);
  const auto count = [&](const std::string& what) {
    const std::regex pattern(what);
    return std::distance(std::sregex_iterator(text.begin(), text.end(), pattern), std::sregex_iterator());
  };
  long failed = 0;
  for (const auto& s : run.scenarios())
    for (const auto& m : s.measures()) failed += m.verdict() == v1::VERDICT_FAIL;
  EXPECT_GT(failed, 0);
  EXPECT_EQ(count("<failure "), failed);
  EXPECT_NE(squeezed(text).find(kCaution), std::string::npos);
  if (!is_installed("xmllint")) GTEST_SKIP() << "xmllint is not installed (package libxml2-utils)";
  const Outcome lint = run_other({"xmllint", "--noout", junit});
  EXPECT_EQ(lint.exit_code, 0) << lint.err;
  const Outcome cases = run_other({"xmllint", "--xpath", "count(//testcase/failure)", junit});
  EXPECT_EQ(std::stol(cases.out), failed) << cases.err;
}

TEST_F(Outputs, HasNoEscapeCodesWhereNobodyWatches) {
  const Outcome outcome = library.check(bad);
  EXPECT_EQ(outcome.out.find('\x1b'), std::string::npos);
  EXPECT_EQ(outcome.err, "") << "no progress either";
  EXPECT_NE(squeezed(outcome.out).find(kCaution), std::string::npos);
}

TEST_F(Outputs, HasColourAndProgressUnderATerminal) {
  if (!has_pseudo_terminals()) GTEST_SKIP() << "this machine gives no pseudo terminal; mount /dev/pts";
  How how;
  how.terminal = true;
  how.environment = {"NO_COLOR="};  // empty counts as not set
  const Outcome outcome = library.check(bad, {}, how);
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_NE(outcome.out.find("\x1b[1;31m"), std::string::npos) << outcome.out;
  EXPECT_TRUE(std::regex_search(outcome.out, std::regex("\r[0-9]+ of ([0-9]+) replays"))) << outcome.out;
  const std::string stripped = std::regex_replace(outcome.out, std::regex("\x1b\\[[0-9;]*[A-Za-z]"), "");
  EXPECT_NE(squeezed(stripped).find(kCaution), std::string::npos);
}

TEST_F(Outputs, LeavesColourOutWhenAskedTo) {
  if (!has_pseudo_terminals()) GTEST_SKIP() << "this machine gives no pseudo terminal; mount /dev/pts";
  How how;
  how.terminal = true;
  how.environment = {"NO_COLOR=1"};
  const Outcome outcome = library.check(bad, {}, how);
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_FALSE(std::regex_search(outcome.out, std::regex("\x1b\\[[0-9;]*m"))) << outcome.out;
  EXPECT_NE(outcome.out.find(" replays"), std::string::npos);
}

TEST_F(Outputs, BriefKeepsVerdictAndCaution) {
  const Outcome outcome = library.check(bad, {"--brief"});
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_NE(outcome.out.find("fail"), std::string::npos);
  EXPECT_LT(outcome.out.size(), library.check(bad).out.size());
}

TEST_F(Outputs, ReplacesAFileWholeAndLeavesNothingBeside) {
  const fs::path folder = library.beside("out");
  fs::create_directory(folder);
  const std::string json = folder / "run.json", junit = folder / "run.xml";
  write_file(json, std::string(1 << 20, 'x'));
  fs::create_hard_link(json, folder / "seen.json");  // who has the old file open keeps it whole
  EXPECT_EQ(library.check(bad, {"--json", json, "--junit", junit}).exit_code, 1);
  EXPECT_EQ(run_from_json(read_file(json)).calibration_name(), "candidate");
  EXPECT_EQ(read_file(folder / "seen.json"), std::string(1 << 20, 'x'));
  size_t files = 0;
  for (const auto& entry : fs::directory_iterator(folder)) files += entry.is_regular_file();
  EXPECT_EQ(files, 3u) << "no part file is left";
}

TEST_F(Outputs, AFailedWriteLeavesTheOldFile) {
  if (::geteuid() != 0) GTEST_SKIP() << "needs a user with less power to run as";
  const fs::path folder = library.beside("out");
  fs::create_directory(folder);
  write_file(folder / "run.json", "old");
  fs::permissions(folder, fs::perms::owner_all | fs::perms::others_read | fs::perms::others_exec);
  How how;
  how.powerless = true;
  EXPECT_EQ(library.check(bad, {"--json", folder / "run.json"}, how).exit_code, 77);
  EXPECT_EQ(read_file(folder / "run.json"), "old");
}

}  // namespace
}  // namespace brakeward::end_to_end
