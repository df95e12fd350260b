// The end of a service while work is under way.
#include <gtest/gtest.h>
#include <sysexits.h>

#include <csignal>
#include <future>
#include <map>

#include "end_to_end/service/service.h"

namespace brakeward::end_to_end {
namespace {

class Stop : public testing::Test {
 protected:
  Stop() { make_slow_library(library()); }
  std::filesystem::path library() const { return folder_.path() / "slow"; }

  // A service with this much time to drain, and eight checks that it has taken, each about a quarter of a
  // second of one core.
  void serve_eight(const std::string& drain_s) {
    service_ = std::make_unique<Service>(
        folder_.path(),
        "library_folders: \"slow\"\nstore_file: \"history.db\"\nthreads_per_run: 1\ndrain_s: " + drain_s);
    for (int i = 0; i < 8; ++i)
      checks_.push_back(std::async(std::launch::async, [this] {
        return service_->check("slow", library() / "calibrations/released.textproto", {"--brief"});
      }));
    // One of the first may have ended before the last was taken.
    EXPECT_TRUE(poll_until([&] { return in_hand() >= 8; })) << service_->log();
    EXPECT_LT(finished(), 8) << "they were too quick for this test";
  }
  double finished() const {
    double sum = 0;
    for (const char* labels :
         {"state=\"completed\",verdict=\"pass\"", "state=\"completed\",verdict=\"inconclusive\""})
      sum += service_->value("brakeward_runs_finished_total{" + std::string(labels) + "}");
    return sum;
  }
  double in_hand() const {
    return service_->value("brakeward_runs{state=\"queued\"}") +
           service_->value("brakeward_runs{state=\"running\"}") + finished();
  }
  // Exit codes of the checks, how many of each.
  std::map<int, int> exit_codes() {
    std::map<int, int> out;
    for (auto& check : checks_) ++out[check.get().exit_code];
    checks_.clear();
    return out;
  }

  // Some had ended before, the others are told that the service is going.
  void expect_some_unavailable() {
    const auto codes = exit_codes();
    for (const auto& [code, count] : codes)
      EXPECT_TRUE(code == 0 || code == EX_UNAVAILABLE) << count << " ended with " << code;
    EXPECT_EQ(codes.count(EX_UNAVAILABLE), 1u);
  }

  TemporaryFolder folder_;
  std::unique_ptr<Service> service_;
  std::vector<std::future<Outcome>> checks_;
};

TEST_F(Stop, LetsWhatWasTakenEnd) {
  serve_eight("50");
  service_->signal(SIGTERM);
  // New work is refused from now on; which words the caller sees depends on how far the stop is.
  EXPECT_TRUE(poll_until([&] { return service_->has_logged("health: stopped"); }));
  const Outcome late = service_->check("slow", library() / "calibrations/released.textproto");
  EXPECT_EQ(late.exit_code, EX_UNAVAILABLE) << late.err;
  const Outcome end = service_->end();
  EXPECT_EQ(end.exit_code, 0) << end.err;
  EXPECT_EQ(exit_codes(), (std::map<int, int>{{0, 8}}));
  // The store was brought into one file.
  const auto wal = folder_.path() / "history.db-wal";
  EXPECT_TRUE(!std::filesystem::exists(wal) || std::filesystem::file_size(wal) == 0);
  const Outcome kept = run({"runs", "--store", folder_.path() / "history.db", "--json"});
  EXPECT_EQ(kept.exit_code, 0) << kept.err;
  size_t ids = 0;
  for (size_t at = 0; (at = kept.out.find("\"run_id\"", at)) != std::string::npos; ++at) ++ids;
  EXPECT_EQ(ids, 8u);
}

TEST_F(Stop, WithoutTimeToDrainCancels) {
  serve_eight("0");
  service_->signal(SIGTERM);
  const Outcome end = service_->end();
  EXPECT_EQ(end.exit_code, 0) << end.err;
  EXPECT_NE(end.err.find("drain_s is over: cancelling"), std::string::npos) << end.err;
  expect_some_unavailable();
}

TEST_F(Stop, ASecondSignalCancelsAtOnce) {
  serve_eight("3600");
  service_->signal(SIGTERM);
  EXPECT_TRUE(poll_until([&] { return service_->has_logged("health: stopped"); }));
  service_->signal(SIGINT);
  const Outcome end = service_->end();
  EXPECT_EQ(end.exit_code, 0) << end.err;
  EXPECT_NE(end.err.find("asked to stop again: cancelling"), std::string::npos) << end.err;
  expect_some_unavailable();
}

TEST_F(Stop, ComesInTheOrderOfTheStepsBackwards) {
  Service service(folder_.path(), "library_folders: \"slow\"\nstore_file: \"history.db\"\n");
  service.signal(SIGINT);
  const Outcome end = service.end();
  EXPECT_EQ(end.exit_code, 0) << end.err;
  size_t at = 0;
  for (const char* line :
       {"metrics page: started", "store: started", "libraries: started", "desk: started",
        "rpc server: started", "health: started", "service: asked to stop", "health: stopped",
        "runs: stopped", "rpc server: stopped", "desk: stopped", "store: stopped", "metrics page: stopped"}) {
    const size_t found = end.err.find(line, at);
    ASSERT_NE(found, std::string::npos) << line << " is not in its place:\n" << end.err;
    at = found;
  }
}

TEST_F(Stop, AClosedStandardErrorDoesNotEndIt) {
  Service service(folder_.path(), "library_folders: \"slow\"", {"sh", "-c", "exec \"$0\" \"$@\" 2>&-"});
  service.signal(SIGHUP);
  service.signal(SIGTERM);
  EXPECT_EQ(service.end().exit_code, 0);
}

}  // namespace
}  // namespace brakeward::end_to_end
