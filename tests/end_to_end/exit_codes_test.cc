// Every exit code the program can give, given. The numbers from 64 up are those of sysexits.h (BSD), whose
// header is the reference here.
#include <gtest/gtest.h>
#include <sysexits.h>
#include <unistd.h>

#include "end_to_end/library_copy.h"

namespace brakeward::end_to_end {
namespace {

namespace fs = std::filesystem;

TEST(ExitCode, PassesTheReleasedCalibrationAgainstItsOwnBaseline) {
  LibraryCopy library;
  library.make_baseline();
  v1::Run run;
  const Outcome outcome = library.check(library.released(), run);
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err << outcome.out;
  EXPECT_EQ(outcome.err, "");
  EXPECT_EQ(run.verdict(), v1::VERDICT_PASS);
  EXPECT_EQ(run.state(), v1::RUN_STATE_COMPLETED);
  ASSERT_GT(run.scenarios_size(), 0);
  for (const auto& scenario : run.scenarios()) {
    EXPECT_EQ(scenario.verdict(), v1::VERDICT_PASS) << scenario.scenario();
    for (const auto& m : scenario.measures())
      EXPECT_TRUE(!m.has_baseline() || m.value() == m.baseline())
          << scenario.scenario() << " " << m.measure();
  }
}

TEST(ExitCode, FailsABadCandidate) {
  LibraryCopy library;
  library.make_baseline();
  const std::string bad = library.candidate([](v1::Calibration& c) {
    auto* p = c.mutable_pressure_control();
    p->set_rise_limit_bar_per_s(p->rise_limit_bar_per_s() / 10);
  });
  v1::Run run;
  const Outcome outcome = library.check(bad, run);
  EXPECT_EQ(outcome.exit_code, 1) << outcome.err;
  EXPECT_EQ(run.verdict(), v1::VERDICT_FAIL);
  EXPECT_EQ(run.state(), v1::RUN_STATE_COMPLETED) << "the machinery did its work";
}

TEST(ExitCode, IsInconclusiveWhereNothingIsJudged) {
  LibraryCopy library;
  library.keep({"corrie_dry_60", "saltmarsh_wet_80"});
  for (const char* name : {"corrie_dry_60", "saltmarsh_wet_80"})
    library.change<v1::Scenario>(library.file("scenarios/" + std::string(name) + ".textproto"),
                                 [](v1::Scenario& s) {
                                   s.set_entry_point(v1::ENTRY_POINT_PRESSURE);
                                   s.clear_limits();
                                 });
  v1::Run run;
  const Outcome outcome = library.check(library.released(), run);
  EXPECT_EQ(outcome.exit_code, 2) << outcome.err;
  EXPECT_EQ(run.verdict(), v1::VERDICT_INCONCLUSIVE);
  ASSERT_EQ(run.scenarios_size(), 2);
  for (const auto& scenario : run.scenarios())
    for (const auto& m : scenario.measures()) {
      EXPECT_EQ(m.verdict(), v1::VERDICT_NONE) << m.measure();
      EXPECT_NE(m.reason(), "") << m.measure() << ": not judged, and no reason";
    }
}

TEST(ExitCode, IsInconclusiveWhereTheVehicleDoesNotReproduceTheRecording) {
  LibraryCopy library;
  library.keep({"saltmarsh_dry_100"});
  library.change<v1::Scenario>(library.file("scenarios/saltmarsh_dry_100.textproto"),
                               [](v1::Scenario& s) { s.clear_limits(); });
  library.change<v1::Vehicle>(library.vehicle(), [](v1::Vehicle& v) {
    v.mutable_chassis()->set_mass_kg(0.6 * v.chassis().mass_kg());
  });
  library.make_baseline();
  v1::Run run;
  const Outcome outcome = library.check(library.released(), run);
  EXPECT_EQ(outcome.exit_code, 2) << outcome.err << outcome.out;
  ASSERT_EQ(run.scenarios_size(), 1);
  EXPECT_EQ(run.scenarios(0).verdict(), v1::VERDICT_INCONCLUSIVE);
  EXPECT_GT(run.scenarios(0).reproduction().longest_departure_s(), 0.3);
  EXPECT_NE(outcome.out.find("would settle it"), std::string::npos) << outcome.out;
}

// Values that are each allowed and do not belong together: a tyre set for 500 N under ten tonnes, whose slip
// stiffness grows as exp(2 df). Found by drawing vehicles from the edges of the allowed ranges.
void break_tyres(const LibraryCopy& library) {
  library.change<v1::Vehicle>(library.vehicle(), [](v1::Vehicle& v) {
    v.mutable_chassis()->set_mass_kg(10000);
    v.mutable_front_tyre()->set_nominal_load_n(500);
    v.mutable_front_tyre()->set_p_kx2(0);
    v.mutable_front_tyre()->set_p_kx3(2);
    for (v1::Tyre* t : {v.mutable_front_tyre(), v.mutable_rear_tyre()}) t->set_p_dx2(0);
  });
}

TEST(ExitCode, TellsAReplayThatTurnsNonFinite) {
  LibraryCopy library;
  library.keep({"step_hand"});
  break_tyres(library);
  v1::Run run;
  const Outcome outcome = library.check(library.released(), run);
  EXPECT_EQ(outcome.exit_code, 3) << outcome.err << outcome.out;
  EXPECT_EQ(run.verdict(), v1::VERDICT_ERROR);
  EXPECT_EQ(run.state(), v1::RUN_STATE_COMPLETED);
  ASSERT_EQ(run.scenarios_size(), 1);
  const std::string& reason = run.scenarios(0).reason();
  for (const char* part : {"non-finite at 0.", " s (", "Check the vehicle", "export trace"})
    EXPECT_NE(reason.find(part), std::string::npos) << part << ": " << reason;
  EXPECT_EQ(reason.find("nan"), std::string::npos) << "no value of the last good tick is nan: " << reason;
}

TEST(ExitCode, TellsABrokenReplayOfOneScenarioAndWritesItsTrace) {
  LibraryCopy library;
  library.keep({"step_hand"});
  break_tyres(library);
  const std::string trace = library.beside("trace.csv");
  const Outcome outcome = run({"export", "trace", "step_hand", "--library", library.folder(), "--calibration",
                               library.released(), "--csv", trace});
  EXPECT_EQ(outcome.exit_code, 3) << outcome.err;
  EXPECT_NE(outcome.err.find("step_hand: the replay turned non-finite"), std::string::npos) << outcome.err;
  EXPECT_NE(read_file(trace).find("nan"), std::string::npos) << "the last row shows what broke";
}

TEST(ExitCode, RefusesABaselineOfABrokenReplay) {
  LibraryCopy library;
  library.keep({"step_hand", "ramp_hand"});
  break_tyres(library);
  const std::string out = library.beside("new.textproto");
  const Outcome outcome = run({"baseline", "propose", "--library", library.folder(), "--calibration",
                               library.released(), "--out", out});
  EXPECT_EQ(outcome.exit_code, EX_DATAERR) << outcome.err;
  for (const char* name : {"scenario step_hand: ", "scenario ramp_hand: "})
    EXPECT_NE(outcome.err.find(name), std::string::npos) << outcome.err;
  EXPECT_FALSE(fs::exists(out));
}

TEST(ExitCode, IsUsageForACommandLineThatCannotBeUnderstood) {
  const std::vector<std::pair<std::vector<std::string>, std::string>> lines = {
      {{}, "no command given; commands are check, replay, "},
      {{"chekc"}, "there is no command \"chekc\"; commands are check"},
      {{"check"}, "--calibration is required"},
      {{"check", "--calibration"}, "--calibration"},
      {{"check", "--calibration", ""}, "--calibration: is empty"},
      {{"check", "--calibration", "c.textproto", "--json", ""}, "--json: is empty"},
      {{"check", "--calibration", "c.textproto", "--thread", "2"}, "--thread"},
      {{"check", "--calibration", "c.textproto", "--threads", "-1"}, "not in range 0 to 1024"},
      {{"check", "--calibration", "c.textproto", "--threads", "two"}, "--threads"},
      {{"replay", "--calibration", "c.textproto"}, "scenario is required"},
      {{"import", "log.csv"}, "--map is required"},
      {{"import", "log.csv", "--map", "m.textproto", "--pressure", "much"}, "--pressure"},
      {{"baseline", "propose"}, "--calibration is required"},
      {{"baseline", "approve", "p.textproto", "--by", "lead", "--why", "w"}, "--on is required"},
      {{"describe"}, "type is required"},
      {{"describe", "brake"}, "`brakeward describe measures`"},
      {{"selfcheck", "now"}, "now"},
  };
  for (const auto& [arguments, said] : lines) {
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.exit_code, EX_USAGE) << outcome.err;
    EXPECT_NE(outcome.err.find(said), std::string::npos) << said << ": " << outcome.err;
    EXPECT_EQ(outcome.err.find("brakeward: "), 0u) << outcome.err;
    EXPECT_EQ(outcome.out, "");
  }
}

TEST(ExitCode, IsBadDataForADocumentThatIsNotThere) {
  LibraryCopy library;
  EXPECT_EQ(library.check(library.beside("none.textproto")).exit_code, EX_DATAERR);
}

TEST(ExitCode, IsUnavailableOnAProcessorBelowTheLevelItNeeds) {
  const std::string emulator = "qemu-x86_64-static";
  if (!is_installed(emulator)) GTEST_SKIP() << emulator << " is not installed (package qemu-user-static)";
  for (const char* processor : {"Nehalem", "Westmere"}) {
    How how;
    how.before = {emulator, "-cpu", processor};
    for (const char* command : {"--version", "selfcheck"}) {
      const Outcome outcome = run({command}, how);
      EXPECT_EQ(outcome.exit_code, EX_UNAVAILABLE) << processor << " " << outcome.err;
      EXPECT_EQ(outcome.signal, 0) << processor;
      EXPECT_NE(outcome.err.find("x86-64-v3"), std::string::npos) << outcome.err;
      EXPECT_EQ(outcome.err.find('\n'), outcome.err.size() - 1) << "one line: " << outcome.err;
      EXPECT_EQ(outcome.out, "");
    }
  }
}

TEST(ExitCode, AsksToTryAgainWhenADiskIsFull) {
  if (::access("/dev/full", W_OK) != 0) GTEST_SKIP() << "/dev/full is not here";
  LibraryCopy library;
  library.keep({"step_hand"});
  const Outcome file = library.check(library.released(), {"--json", "/dev/full"});
  EXPECT_EQ(file.exit_code, EX_TEMPFAIL) << file.err;
  EXPECT_NE(file.err.find("/dev/full"), std::string::npos) << file.err;
  How how;
  how.standard_output = "/dev/full";
  for (const std::vector<std::string>& arguments : std::vector<std::vector<std::string>>{
           {"describe", "vehicle"},
           {"baseline", "propose", "--library", library.folder(), "--calibration", library.released()},
           {"check", "--library", library.folder(), "--calibration", library.released()}}) {
    const Outcome printed = run(arguments, how);
    EXPECT_EQ(printed.exit_code, EX_TEMPFAIL) << arguments[0] << ": " << printed.err;
    EXPECT_NE(printed.err.find("standard output cannot be written"), std::string::npos) << printed.err;
  }
}

TEST(ExitCode, IsNotAllowedWhereItMayNotWrite) {
  LibraryCopy library;
  library.keep({"step_hand"});
  const fs::path closed = library.beside("closed");
  fs::create_directory(closed);
  fs::permissions(closed, fs::perms::owner_read | fs::perms::owner_exec | fs::perms::others_exec);
  How how;
  how.powerless = true;
  const Outcome outcome = library.check(library.released(), {"--json", closed / "run.json"}, how);
  EXPECT_EQ(outcome.exit_code, EX_NOPERM) << outcome.err;
  EXPECT_NE(outcome.err.find("choose a folder you may write to"), std::string::npos) << outcome.err;
  fs::permissions(closed, fs::perms::owner_all);
}

TEST(ExitCode, IsBadDataWhereTheFolderOfAnOutputIsMissing) {
  LibraryCopy library;
  library.keep({"step_hand"});
  for (const char* option : {"--json", "--junit"}) {
    const Outcome outcome = library.check(library.released(), {option, library.beside("none") / "run"});
    EXPECT_EQ(outcome.exit_code, EX_DATAERR) << option << " " << outcome.err;
    EXPECT_NE(outcome.err.find("create the folder first"), std::string::npos) << outcome.err;
  }
  EXPECT_FALSE(fs::exists(library.beside("none")));
}

TEST(ExitCode, IsZeroForHelpVersionAndSelfcheck) {
  const Outcome help = run({"--help"});
  EXPECT_EQ(help.exit_code, 0);
  for (const char* code : {"0 pass", "1 fail", "2 inconclusive", "3 error", "64 usage", "65 bad",
                           "69 unavailable", "70 internal", "75 try again", "77 not allowed"})
    EXPECT_NE(help.out.find(code), std::string::npos) << code;
  EXPECT_EQ(run({"--version"}).exit_code, 0);
  const Outcome selfcheck = run({"selfcheck"});
  EXPECT_EQ(selfcheck.exit_code, 0) << selfcheck.out;
  EXPECT_NE(selfcheck.out.find("agree to the bit"), std::string::npos) << selfcheck.out;
}

}  // namespace
}  // namespace brakeward::end_to_end
