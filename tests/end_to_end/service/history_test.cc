// What a service keeps: across restarts, on a full disk, and what `runs` reads of it.
#include <gtest/gtest.h>
#include <sysexits.h>

#include <algorithm>
#include <csignal>
#include <nlohmann/json.hpp>

#include "end_to_end/library_copy.h"
#include "end_to_end/service/service.h"

namespace brakeward::end_to_end {
namespace {

using Json = nlohmann::json;

class History : public testing::Test {
 protected:
  History() {
    library_.keep({"step_hand", "ramp_hand"});
    library_.make_baseline();
  }
  std::unique_ptr<Service> serve(const std::vector<std::string>& before = {}) const {
    return std::make_unique<Service>(
        folder_.path(), "library_folders: \"" + library_.folder().string() + "\"\nstore_file: \"history.db\"",
        before);
  }
  int check(const Service& service, const std::vector<std::string>& more = {}) const {
    const Outcome outcome = service.check(library_.folder(), library_.released(), more);
    EXPECT_TRUE(outcome.exit_code == 0 || outcome.exit_code == EX_UNAVAILABLE) << outcome.err;
    return outcome.exit_code;
  }
  Outcome runs(std::vector<std::string> more) const {
    more.insert(more.begin(), {"runs", "--store", store()});
    return run(more);
  }
  Json listed(std::vector<std::string> more = {}) const {
    more.push_back("--json");
    const Outcome outcome = runs(more);
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    return Json::parse(outcome.out);
  }
  std::string store() const { return folder_.path() / "history.db"; }

  TemporaryFolder folder_;
  LibraryCopy library_;
};

TEST_F(History, SurvivesARestartWithItsMetrics) {
  {
    const auto service = serve();
    EXPECT_EQ(check(*service), 0);
    EXPECT_EQ(check(*service, {"--event-build", "b1"}), 0);
    EXPECT_EQ(check(*service, {"--event-build", "b2"}), 0);
    EXPECT_EQ(service->stop().exit_code, 0);
  }
  const Json before = listed();
  ASSERT_EQ(before["runs"].size(), 3u);
  const auto again = serve();
  const std::string page = again->page();
  EXPECT_NE(page.find("build=\"b1\""), std::string::npos) << "event builds are shown again";
  EXPECT_NE(page.find("build=\"b2\""), std::string::npos);
  EXPECT_EQ(listed(), before) << "read beside a running service";
  EXPECT_EQ(again->stop().exit_code, 0);
}

TEST_F(History, SurvivesAKill) {
  {
    const auto service = serve();
    EXPECT_EQ(check(*service, {"--event-build", "b1"}), 0);
    service->signal(SIGKILL);
    EXPECT_EQ(service->end().signal, SIGKILL);
  }
  const auto again = serve();
  EXPECT_EQ(listed()["runs"].size(), 1u);
  EXPECT_NE(again->page().find("build=\"b1\""), std::string::npos);
}

TEST_F(History, IsListedNewestFirstAndNothingIsCutSilently) {
  const auto service = serve();
  for (const char* build : {"b1", "b2", "b1"}) EXPECT_EQ(check(*service, {"--event-build", build}), 0);
  EXPECT_EQ(check(*service), 0);
  const Json all = listed();
  ASSERT_EQ(all["runs"].size(), 4u);
  EXPECT_EQ(all["more_exist"], false);
  EXPECT_EQ(all["runs"][0]["event_build"], "");
  EXPECT_EQ(all["runs"][1]["event_build"], "b1");
  EXPECT_EQ(all["runs"][0]["library_name"], "sorrel");
  EXPECT_EQ(all["runs"][0]["state"], "completed");
  EXPECT_EQ(all["runs"][0]["verdict"], "pass");
  const Json few = listed({"--limit", "3"});
  EXPECT_EQ(few["runs"].size(), 3u);
  EXPECT_EQ(few["more_exist"], true);
  EXPECT_EQ(listed({"--limit", "0"}), all);
  EXPECT_EQ(listed({"--event-build", "b1"})["runs"].size(), 2u);
  EXPECT_EQ(listed({"--event-build", "*"})["runs"].size(), 3u);
  EXPECT_EQ(listed({"--library", "dapple"})["runs"].size(), 0u);

  const Outcome table = runs({"--limit", "3"});
  EXPECT_EQ(std::count(table.out.begin(), table.out.end(), '\n'), 1 + 3 + 1) << table.out;
  EXPECT_NE(table.out.find("--limit 0 all"), std::string::npos);
  EXPECT_NE(runs({"--library", "dapple"}).out.find("no run is kept that matches"), std::string::npos);
}

TEST_F(History, ShowsOneRunWhole) {
  const auto service = serve();
  const std::string json = folder_.path() / "run.json";
  const Outcome checked =
      service->check(library_.folder(), library_.released(), {"--event-build", "b1", "--json", json});
  EXPECT_EQ(checked.exit_code, 0) << checked.err;
  const v1::Run run = run_from_json(read_file(json));
  EXPECT_EQ(runs({run.run_id()}).out, checked.out);
  EXPECT_EQ(runs({run.run_id(), "--json"}).out, read_file(json));
  const std::string kept = folder_.path() / "kept.csv", given = folder_.path() / "given.csv";
  EXPECT_EQ(
      end_to_end::run({"export", "measures", run.run_id(), "--store", store(), "--csv", kept}).exit_code, 0);
  EXPECT_EQ(end_to_end::run({"export", "measures", "--run", json, "--csv", given}).exit_code, 0);
  EXPECT_EQ(read_file(kept), read_file(given));
  const Outcome unknown = runs({"run-unknown"});
  EXPECT_EQ(unknown.exit_code, EX_DATAERR);
  EXPECT_NE(unknown.err.find("run-unknown"), std::string::npos);
}

TEST_F(History, OfAFileThatIsNoStoreIsBadData) {
  const Outcome none = runs({});
  EXPECT_EQ(none.exit_code, EX_DATAERR);
  EXPECT_NE(none.err.find("history.db"), std::string::npos) << none.err;
  write_file(store(), "nothing of the kind");
  EXPECT_EQ(runs({}).exit_code, EX_DATAERR);
  EXPECT_EQ(run({"runs"}).exit_code, EX_USAGE);
  EXPECT_EQ(run({"runs", "--store", store(), "x", "--limit", "3"}).exit_code, EX_USAGE);
}

// A limit on the size of files stands in for a disk that is full: writes beyond it fail (setrlimit(2)).
TEST_F(History, WithoutRoomVariantsStillGetVerdictsAndEventBuildsDoNot) {
  EXPECT_EQ(serve()->stop().exit_code, 0);  // makes the file
  // In units of 512 bytes (POSIX ulimit -f).
  const auto service = serve({"sh", "-c", "ulimit -f 400; exec \"$0\" \"$@\""});
  Outcome last;
  for (int i = 0; i < 100 && last.err.empty(); ++i) {
    last = service->check(library_.folder(), library_.released(), {"--brief"});
    ASSERT_EQ(last.exit_code, 0) << last.err << service->log();
  }
  EXPECT_NE(last.err.find("the service did not keep the run: "), std::string::npos) << last.err;
  EXPECT_TRUE(service->has_logged("put_run: ")) << service->log();
  EXPECT_TRUE(service->has_logged("the disk is full")) << "whoever runs the service learns why";
  EXPECT_NE(last.out.find("pass"), std::string::npos);
  EXPECT_GE(service->value("brakeward_store_errors_total{operation=\"put_run\"}"), 1);
  const Outcome build = service->check(library_.folder(), library_.released(), {"--event-build", "b1"});
  EXPECT_EQ(build.exit_code, EX_UNAVAILABLE) << build.err;
  EXPECT_EQ(service->page().find("build=\"b1\""), std::string::npos);
  service->signal(SIGTERM);
  service->end();
  EXPECT_GE(listed({"--limit", "0"})["runs"].size(), 1u) << "what was kept before is still there";
}

}  // namespace
}  // namespace brakeward::end_to_end
