// `brakeward diff`. References: the change that the test itself makes, and the exit codes of diff(1) (POSIX:
// 0 no differences, 1 differences; MEMORY).
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "end_to_end/library_copy.h"

namespace brakeward::end_to_end {
namespace {

using testing::HasSubstr;

class Diff : public testing::Test {
 protected:
  LibraryCopy library;
};

TEST_F(Diff, SaysNothingDiffersOnlyWhereNothingDoes) {
  const Outcome same = run({"diff", library.released(), library.released()});
  EXPECT_EQ(same.exit_code, 0) << same.err;
  EXPECT_EQ(same.out, "no value differs\n");
  // Another form of the same content: no comments, other layout.
  const std::string rewritten = library.change<v1::Calibration>(
      library.released(), [](v1::Calibration&) {}, library.beside("again.textproto"));
  EXPECT_EQ(run({"diff", library.released(), rewritten}).exit_code, 0);
}

TEST_F(Diff, ListsEveryChangedValueWithAddressAndUnit) {
  const std::string candidate = library.candidate([](v1::Calibration& c) {
    c.mutable_hand_control()->set_dead_band_mm(3.25);
    c.mutable_pressure_control()->set_rise_limit_bar_per_s(123);
    c.mutable_balance()->mutable_steps(0)->set_front_percent(55.5);
  });
  const Outcome outcome = run({"diff", library.released(), candidate});
  EXPECT_EQ(outcome.exit_code, 1) << outcome.err;
  EXPECT_EQ(outcome.err, "");
  EXPECT_EQ(std::count(outcome.out.begin(), outcome.out.end(), '\n'), 5) << outcome.out;
  EXPECT_THAT(outcome.out, testing::ContainsRegex("^address +before +after\n"));
  EXPECT_THAT(outcome.out, testing::ContainsRegex("\nname +\"[^\"]+\" +\"candidate\"\n"));
  EXPECT_THAT(outcome.out, testing::ContainsRegex("\nhand_control.dead_band_mm +[0-9.]+ mm +3.25 mm\n"));
  EXPECT_THAT(outcome.out,
              testing::ContainsRegex("\nbalance.steps\\[\"[^\"]+\"\\].front_percent +[0-9.]+ % +55.5 %\n"));
  EXPECT_THAT(outcome.out,
              testing::ContainsRegex("\npressure_control.rise_limit_bar_per_s +[0-9.]+ bar/s +123 bar/s\n"));
  const Outcome markdown = run({"diff", "--markdown", library.released(), candidate});
  EXPECT_EQ(markdown.exit_code, 1);
  EXPECT_THAT(markdown.out, testing::StartsWith("| address | before | after |\n| --- | ---: | ---: |\n"));
  EXPECT_THAT(markdown.out, HasSubstr(" bar/s | 123 bar/s |\n"));
}

TEST_F(Diff, TakesAnyDocumentByItsHeaderOrByType) {
  const std::string original = library.beside("plain.textproto"), changed = library.beside("heavy.textproto");
  library.change<v1::Vehicle>(
      library.vehicle(), [](v1::Vehicle&) {}, original);
  library.change<v1::Vehicle>(
      library.vehicle(), [](v1::Vehicle& v) { v.set_name("heavy"); }, changed);
  // One header is enough; these two have none.
  EXPECT_THAT(run({"diff", library.vehicle(), changed}).out, HasSubstr("\"heavy\""));
  EXPECT_THAT(run({"diff", original, library.vehicle()}).out, HasSubstr("no value differs"));
  EXPECT_EQ(run({"diff", "--type", "vehicle", original, changed}).exit_code, 1);
  const Outcome untold = run({"diff", original, changed});
  EXPECT_EQ(untold.exit_code, 65);
  EXPECT_THAT(untold.err, HasSubstr("by its fields this is a brakeward.v1.Vehicle"));
}

TEST_F(Diff, TellsAllFaultsOfBothFilesAtOnce) {
  const std::string candidate = library.candidate([](v1::Calibration& c) {
    c.mutable_hand_control()->set_dead_band_mm(-1);
    c.mutable_pedal()->set_low_pass_hz(1e6);
  });
  const std::string other = library.beside("other.textproto");
  write_file(other, read_file(library.released()) + "\nhand_brake: 3\n");
  const Outcome outcome = run({"diff", candidate, other});
  EXPECT_EQ(outcome.exit_code, 65);
  EXPECT_EQ(outcome.out, "");
  EXPECT_THAT(outcome.err, HasSubstr("hand_control.dead_band_mm"));
  EXPECT_THAT(outcome.err, HasSubstr("pedal.low_pass_hz"));
  EXPECT_THAT(outcome.err, HasSubstr("hand_brake"));
}

TEST_F(Diff, RefusesWhatItCannotCompare) {
  const Outcome mixed = run({"diff", library.released(), library.vehicle()});
  EXPECT_EQ(mixed.exit_code, 65);
  EXPECT_THAT(mixed.err, HasSubstr("the header says this is a brakeward.v1.Vehicle"));
  const Outcome missing = run({"diff", library.beside("no.textproto"), "/dev/zero"});
  EXPECT_EQ(missing.exit_code, 65);
  EXPECT_THAT(missing.err, HasSubstr("there is no such file"));
  EXPECT_THAT(missing.err, HasSubstr("/dev/zero: is not a regular file"));
  EXPECT_EQ(run({"diff", library.released()}).exit_code, 64);
  EXPECT_EQ(run({"diff", library.released(), ""}).exit_code, 64);
  const Outcome unknown = run({"diff", "--type", "brake", library.released(), library.released()});
  EXPECT_EQ(unknown.exit_code, 64);
  EXPECT_THAT(unknown.err, HasSubstr("--type: there is no type \"brake\""));
  const std::string strange = library.beside("strange.textproto");
  write_file(strange, "# proto-message: brakeward.v1.Brake\nname: \"x\"\n");
  const Outcome named = run({"diff", strange, library.released()});
  EXPECT_EQ(named.exit_code, 65);
  EXPECT_THAT(named.err, HasSubstr(strange + ": there is no type"));
}

TEST_F(Diff, SaysItsExitCodesInTheHelp) {
  EXPECT_THAT(run({"diff", "--help"}).out, HasSubstr("0 no value differs, 1 some do"));
}

}  // namespace
}  // namespace brakeward::end_to_end
