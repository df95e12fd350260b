// brakeward baseline: propose, approve, show.
#include <google/protobuf/text_format.h>
#include <gtest/gtest.h>

#include "end_to_end/library_copy.h"

namespace brakeward::end_to_end {
namespace {

namespace fs = std::filesystem;

void expect_says(const std::string& said, const std::vector<std::string>& parts) {
  for (const std::string& part : parts) EXPECT_NE(said.find(part), std::string::npos) << part << "\n" << said;
}

class BaselineCommand : public testing::Test {
 protected:
  void SetUp() override { library.keep({"step_hand", "corrie_dry_60"}); }

  Outcome propose(const std::string& out, std::vector<std::string> more = {}) const {
    std::vector<std::string> line = {"baseline",      "propose",          "--library", library.folder(),
                                     "--calibration", library.released(), "--out",     out};
    line.insert(line.end(), more.begin(), more.end());
    return run(line);
  }
  Outcome approve(const std::string& proposal, const std::string& out) const {
    return run({"baseline", "approve", proposal, "--library", library.folder(), "--by", "lead", "--on",
                "2026-01-01", "--why", "because", "--out", out});
  }

  LibraryCopy library;
};

TEST_F(BaselineCommand, IsProposedApprovedShownAndAcceptedByACheck) {
  const std::string proposal = library.beside("proposal.textproto"), file = library.beside("made.textproto"),
                    sheet = library.beside("sheet.textproto");
  write_file(sheet, "# proto-message: brakeward.v1.BuildSheet\npads: \"P7, bedded\"\n");
  const Outcome proposed = propose(proposal, {"--event-build", "r9", "--build-sheet", sheet});
  ASSERT_EQ(proposed.exit_code, 0) << proposed.err;
  expect_says(proposed.out,
              {"r9", "not judged:", "no present baseline", "brakeward baseline approve " + proposal});
  const Outcome approved = approve(proposal, file);
  ASSERT_EQ(approved.exit_code, 0) << approved.err;
  v1::Baseline baseline;
  ASSERT_TRUE(google::protobuf::TextFormat::ParseFromString(read_file(file), &baseline));
  EXPECT_EQ(baseline.event_build(), "r9");
  EXPECT_EQ(baseline.approved_by(), "lead");
  EXPECT_EQ(baseline.approved_on(), "2026-01-01");
  EXPECT_EQ(baseline.reason(), "because");
  EXPECT_EQ(baseline.build_sheet().pads(), "P7, bedded");
  EXPECT_EQ(baseline.scenarios_size(), 2);
  v1::Run checked;
  EXPECT_EQ(library.check(library.released(), checked, {"--baseline", file}).exit_code, 0);
  EXPECT_EQ(checked.baseline_event_build(), "r9");
  EXPECT_FALSE(checked.baseline_proposed_only());
  const Outcome shown = run({"baseline", "show", file});
  EXPECT_EQ(shown.exit_code, 0);
  expect_says(shown.out, {"r9", "lead", "2026-01-01", "because", "P7, bedded", "numerics version",
                          "not judged:", "as proposed (sha256 ", "no release for road or track"});
  expect_says(run({"baseline", "show", proposal}).out, {"none: proposed only"});
}

TEST_F(BaselineCommand, IsNamedAsProposedOnlyUntilItIsApproved) {
  const std::string proposal = library.beside("proposal.textproto"), file = library.beside("made.textproto");
  ASSERT_EQ(propose(proposal, {"--event-build", "r9"}).exit_code, 0);
  v1::Run checked;
  const Outcome told = library.check(library.released(), checked, {"--baseline", proposal});
  EXPECT_EQ(told.exit_code, 0) << "the verdict does not depend on it";
  EXPECT_TRUE(checked.baseline_proposed_only());
  expect_says(told.out, {"baseline   r9 (proposed only, approved by nobody)"});
  const Outcome refused =
      library.check(library.released(), {"--baseline", proposal, "--require-approved", "--brief"});
  EXPECT_EQ(refused.exit_code, 65);
  EXPECT_EQ(refused.out, "");
  expect_says(refused.err, {"brakeward: " + proposal + ": approved_by: empty", "baseline approve"});
  const Outcome without = library.check(library.released(), {"--require-approved"});
  EXPECT_EQ(without.exit_code, 65);
  expect_says(without.err, {"library.textproto: baseline_file: empty"});
  ASSERT_EQ(approve(proposal, file).exit_code, 0);
  const Outcome approved = library.check(library.released(), {"--baseline", file, "--require-approved"});
  EXPECT_EQ(approved.exit_code, 0) << approved.err;
  EXPECT_EQ(approved.out.find("approved by nobody"), std::string::npos) << approved.out;
}

TEST_F(BaselineCommand, TellsHowEveryMeasureMoved) {
  library.make_baseline();
  const std::string proposal = library.beside("proposal.textproto");
  expect_says(propose(proposal).out,
              {"against test (proposed only, approved by nobody) no measure moved, of "});
  library.change<v1::Calibration>(
      library.released(),
      [](v1::Calibration& c) {
        c.set_name("other");
        c.mutable_pressure_control()->set_rise_limit_bar_per_s(100);
      },
      library.file("calibrations/other.textproto"));
  library.change<v1::Library>(
      library.index(), [](v1::Library& l) { l.add_calibration_files("calibrations/other.textproto"); });
  const Outcome moved = run({"baseline", "propose", "--library", library.folder(), "--calibration",
                             library.file("calibrations/other.textproto"), "--out", proposal});
  EXPECT_EQ(moved.exit_code, 0) << moved.err;
  expect_says(moved.out, {"measures moved", "step_hand", "delay_90_percent", "%  fail"});
  const Outcome refused = approve(proposal, library.beside("no.textproto"));
  EXPECT_EQ(refused.exit_code, 1);
  expect_says(refused.err, {"not approved", "against test is fail", "--accept-moves"});
  EXPECT_FALSE(fs::exists(library.beside("no.textproto")));
}

TEST_F(BaselineCommand, IsPrintedWithoutAFile) {
  const std::vector<std::string> line = {"baseline",       "propose",       "--library",
                                         library.folder(), "--calibration", library.released()};
  const Outcome first = run(line), second = run(line);
  EXPECT_EQ(first.exit_code, 0) << first.err;
  EXPECT_EQ(first.out, second.out) << "the same bytes each time";
  v1::Baseline baseline;
  EXPECT_TRUE(google::protobuf::TextFormat::ParseFromString(first.out, &baseline));
}

TEST_F(BaselineCommand, RefusesACalibrationThatIsNotTheLibrarys) {
  const std::string stranger = library.candidate([](v1::Calibration& c) {
    c.mutable_pressure_control()->set_rise_limit_bar_per_s(c.pressure_control().rise_limit_bar_per_s() + 1);
  });
  const std::string out = library.beside("made.textproto");
  const Outcome made =
      run({"baseline", "propose", "--library", library.folder(), "--calibration", stranger, "--out", out});
  EXPECT_EQ(made.exit_code, 65);
  expect_says(made.err, {"candidate.textproto", "not a calibration of the library", "calibration_files"});
  EXPECT_FALSE(fs::exists(out));
}

TEST_F(BaselineCommand, NeedsAnEventBuild) {
  library.change<v1::Calibration>(library.released(), [](v1::Calibration& c) { c.clear_event_build(); });
  const Outcome made = propose(library.beside("made.textproto"));
  EXPECT_EQ(made.exit_code, 65);
  expect_says(made.err, {"event_build"});
}

TEST_F(BaselineCommand, RefusesANumberThatIsNone) {
  const std::string file = library.beside("made.textproto");
  ASSERT_EQ(propose(file).exit_code, 0);
  library.set_value(file, "value", "nan");
  const Outcome refused = library.check(library.released(), {"--baseline", file});
  EXPECT_EQ(refused.exit_code, 65);
  expect_says(refused.err, {"made.textproto:", "values[", ".value", "nan"});
}

}  // namespace
}  // namespace brakeward::end_to_end
