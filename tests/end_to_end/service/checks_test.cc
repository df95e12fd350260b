// A check through a service is the check in process: the same result, outputs and exit codes. The exit codes
// from 64 up are those of sysexits.h (BSD).
#include <gtest/gtest.h>
#include <sysexits.h>

#include <regex>

#include "end_to_end/library_copy.h"
#include "end_to_end/service/service.h"

namespace brakeward::end_to_end {
namespace {

namespace fs = std::filesystem;

class Checks : public testing::Test {
 protected:
  // A service of these libraries.
  Service& serve(const std::vector<std::string>& libraries, const std::string& more = "") {
    std::string config = more + "\n";
    for (const std::string& library : libraries) config += "library_folders: \"" + library + "\"\n";
    service_ = std::make_unique<Service>(folder_.path(), config);
    return *service_;
  }
  std::string file(const std::string& name) const { return folder_.path() / name; }

  v1::Run json_of(const std::string& name) const {
    return fs::exists(file(name)) ? run_from_json(read_file(file(name))) : v1::Run();
  }
  // The run without what no two runs share.
  static std::string result_of(v1::Run run) {
    run.clear_run_id();
    run.clear_finished_at();
    run.clear_duration_s();
    return run.SerializeAsString();
  }

  static std::string without_time(const std::string& report) {
    return std::regex_replace(report, std::regex(" of driving in [0-9.]+ s"), "");
  }

  // Checks both ways; both must say the same.
  void compare(const std::string& library, const std::string& candidate, int exit_code) {
    const Outcome here =
        run({"check", "--library", library, "--calibration", candidate, "--json", file("here")});
    const Outcome there = service_->check(library, candidate, {"--json", file("there")});
    EXPECT_EQ(here.exit_code, exit_code) << here.err;
    EXPECT_EQ(there.exit_code, exit_code) << there.err << service_->log();
    EXPECT_EQ(without_time(there.out), without_time(here.out));
    EXPECT_EQ(there.err, here.err);
    if (exit_code >= 64) return;
    const v1::Run mine = json_of("here"), theirs = json_of("there");
    EXPECT_EQ(mine.run_id(), "");
    EXPECT_TRUE(theirs.run_id().starts_with("run-")) << theirs.run_id();
    EXPECT_NE(mine.finished_at(), "");
    EXPECT_NE(theirs.finished_at(), "");
    EXPECT_EQ(mine.result_sha256().size(), 64u);
    EXPECT_EQ(result_of(mine), result_of(theirs));
  }

  TemporaryFolder folder_;
  std::unique_ptr<Service> service_;
};

TEST_F(Checks, AnswerAsInProcess) {
  serve({demo_library()});
  compare(demo_library(), demo_calibration("candidate_better"), 0);
  compare(demo_library(), demo_calibration("candidate_bad_rise_rate"), 1);
}

TEST_F(Checks, AnswerInconclusiveAndErrorAsInProcess) {
  LibraryCopy silent;
  silent.keep({"corrie_dry_60"});
  silent.change<v1::Scenario>(silent.file("scenarios/corrie_dry_60.textproto"), [](v1::Scenario& s) {
    s.set_entry_point(v1::ENTRY_POINT_PRESSURE);
    s.clear_limits();
  });
  serve({silent.folder()});
  compare(silent.folder(), silent.released(), 2);
}

TEST_F(Checks, TellFaultsAsInProcess) {
  serve({demo_library()});
  LibraryCopy other;
  const std::string wrong = other.change<v1::Calibration>(
      other.released(), [](v1::Calibration& c) { c.mutable_hand_control()->set_low_pass_hz(-1); },
      file("wrong.textproto"));
  compare(demo_library(), wrong, EX_DATAERR);
  compare(demo_library(), file("gone.textproto"), EX_DATAERR);
}

TEST_F(Checks, SendVehicleAndBaselineInline) {
  LibraryCopy library;
  library.keep({"step_hand", "ramp_hand"});
  library.make_baseline();
  serve({library.folder()});
  const std::string vehicle = library.change<v1::Vehicle>(
      library.vehicle(), [](v1::Vehicle& v) { v.mutable_chassis()->set_mass_kg(v.chassis().mass_kg() + 20); },
      file("vehicle.textproto"));
  const std::string baseline = file("baseline.textproto");
  ASSERT_EQ(run({"baseline", "propose", "--library", library.folder(), "--calibration", library.released(),
                 "--vehicle", vehicle, "--event-build", "heavier", "--out", baseline})
                .exit_code,
            0);
  for (const std::string& where : {library.folder().string(), std::string("sorrel")}) {
    const Outcome there = service_->check(
        where, library.released(), {"--vehicle", vehicle, "--baseline", baseline, "--json", file("there")});
    EXPECT_EQ(there.exit_code, 0) << there.err;
    EXPECT_EQ(json_of("there").baseline_event_build(), "heavier");
    EXPECT_TRUE(json_of("there").baseline_proposed_only());
    const Outcome refused = service_->check(
        where, library.released(), {"--vehicle", vehicle, "--baseline", baseline, "--require-approved"});
    EXPECT_EQ(refused.exit_code, EX_DATAERR);
    EXPECT_NE(refused.err.find(baseline + ": approved_by: empty"), std::string::npos) << refused.err;
  }
  const Outcome here = library.check(library.released(),
                                     {"--vehicle", vehicle, "--baseline", baseline, "--json", file("here")});
  EXPECT_EQ(here.exit_code, 0) << here.err;
  EXPECT_EQ(result_of(json_of("here")), result_of(json_of("there")));
  const Outcome alone = service_->check(library.folder(), library.released(), {"--vehicle", vehicle});
  EXPECT_EQ(alone.exit_code, EX_DATAERR) << "the baseline was made with another vehicle";
}

TEST_F(Checks, ADifferingLibraryIsRefused) {
  serve({demo_library()});
  LibraryCopy other;
  other.keep({"step_hand"});
  const Outcome there = service_->check(other.folder(), demo_calibration("released"));
  EXPECT_EQ(there.exit_code, EX_DATAERR);
  EXPECT_NE(there.err.find("sorrel"), std::string::npos) << there.err;
  EXPECT_EQ(there.out, "");
}

TEST_F(Checks, ALibraryMayBeNamed) {
  serve({demo_library()});
  EXPECT_EQ(service_->check("sorrel", demo_calibration("candidate_better"), {"--require-approved"}).exit_code,
            0);
  const Outcome unknown = service_->check("dapple", demo_calibration("candidate_better"));
  EXPECT_EQ(unknown.exit_code, EX_DATAERR);
  EXPECT_NE(unknown.err.find("dapple"), std::string::npos) << unknown.err;
  const Outcome path = service_->check("no/such/folder", demo_calibration("candidate_better"));
  EXPECT_EQ(path.exit_code, EX_DATAERR);
  EXPECT_NE(path.err.find("no/such/folder"), std::string::npos) << path.err;
  const Outcome logs =
      service_->check("sorrel", demo_calibration("candidate_better"), {"--recordings", "/tmp"});
  EXPECT_EQ(logs.exit_code, EX_DATAERR);
  EXPECT_NE(logs.err.find("--recordings"), std::string::npos) << logs.err;
}

TEST_F(Checks, WriteEveryOutput) {
  serve({demo_library()});
  const Outcome there = service_->check(
      demo_library(), demo_calibration("candidate_bad_rise_rate"),
      {"--json", file("run.json"), "--junit", file("run.xml"), "--markdown", file("run.md"), "--html",
       file("run.html"), "--textfile", file("run.prom"), "--event-build", "corrie-r9", "--brief"});
  EXPECT_EQ(there.exit_code, 1) << there.err;
  const v1::Run run = json_of("run.json");
  EXPECT_EQ(run.event_build(), "corrie-r9");
  EXPECT_NE(read_file(file("run.xml")).find("<testsuites"), std::string::npos);
  EXPECT_NE(read_file(file("run.md")).find("fail"), std::string::npos);
  EXPECT_NE(read_file(file("run.html")).find("No traces are drawn: the check ran at a service"),
            std::string::npos);
  EXPECT_NE(read_file(file("run.prom")).find("build=\"corrie-r9\""), std::string::npos);
  EXPECT_NE(there.out.find("fail, "), std::string::npos) << there.out;
}

TEST_F(Checks, AnEventBuildIsShownAndAVariantIsNot) {
  serve({demo_library()});
  EXPECT_EQ(service_->check("sorrel", demo_calibration("candidate_better")).exit_code, 0);
  EXPECT_EQ(service_->page().find("brakeward_distance_meters{"), std::string::npos);
  EXPECT_EQ(
      service_->check("sorrel", demo_calibration("candidate_better"), {"--event-build", "b1"}).exit_code, 0);
  EXPECT_NE(service_->page().find("build=\"b1\""), std::string::npos);
  EXPECT_EQ(service_->value("brakeward_runs_finished_total{state=\"completed\",verdict=\"pass\"}"), 2);
}

TEST_F(Checks, AFailedPushIsToldAfterTheOtherOutputs) {
  const Outcome pushed =
      run({"check", "--library", demo_library(), "--calibration", demo_calibration("candidate_better"),
           "--brief", "--event-build", "b1", "--json", file("run.json"), "--push", "http://127.0.0.1:1"});
  EXPECT_EQ(pushed.exit_code, EX_UNAVAILABLE) << pushed.err;
  EXPECT_EQ(json_of("run.json").verdict(), v1::VERDICT_PASS);
  EXPECT_NE(pushed.err.find("the verdict is pass"), std::string::npos) << pushed.err;
}

TEST(CheckOptions, ThatHaveNoMeaningAreRefused) {
  const std::vector<std::string> check = {"check", "--calibration", demo_calibration("released")};
  const std::vector<std::vector<std::string>> wrong = {
      {"--textfile", "a.prom"},
      {"--push", "http://127.0.0.1:1"},
      {"--event-build", "b", "--textfile", "a.txt"},
      {"--event-build", "b", "--push", "127.0.0.1:1"},
      {"--event-build", ""},
      {"--deadline", "5"},
      {"--tls-authority", "a"},
      {"--server", ""},
      {"--server", "127.0.0.1:1", "--threads", "2"},
      {"--server", "127.0.0.1:1", "--tls-certificate", "c", "--tls-key", "k"},
      {"--server", "127.0.0.1:1", "--tls-authority", "a", "--tls-certificate", "c"},
      {"--server", "127.0.0.1:1", "--tls-authority", "a", "--tls-key", "k"},
      {"--server", "127.0.0.1:1", "--deadline", "0"}};
  for (const auto& options : wrong) {
    std::vector<std::string> all = check;
    all.insert(all.end(), options.begin(), options.end());
    const Outcome outcome = run(all);
    EXPECT_EQ(outcome.exit_code, EX_USAGE) << options[0] << " " << outcome.err;
    EXPECT_NE(outcome.err.find("brakeward: "), std::string::npos);
  }
}

TEST(CheckAtNoServer, IsUnavailableAndSaysWhatToDo) {
  const Outcome outcome = run({"check", "--server", "127.0.0.1:1", "--library", demo_library(),
                               "--calibration", demo_calibration("released"), "--deadline", "20"});
  EXPECT_EQ(outcome.exit_code, EX_UNAVAILABLE) << outcome.err;
  EXPECT_NE(outcome.err.find("127.0.0.1:1"), std::string::npos) << outcome.err;
}

}  // namespace
}  // namespace brakeward::end_to_end
