// Orders at the desk, from submission to history and metrics; and a run as a message and back.
#include "gate/desk.h"

#include <gtest/gtest.h>

#include <condition_variable>
#include <latch>
#include <limits>

#include "end_to_end/library_copy.h"
#include "gate/run_message.h"

namespace brakeward::gate {
namespace {

using namespace std::chrono_literals;
using end_to_end::LibraryCopy;

// Remembers what it was told.
class Remembering : public Watcher {
 public:
  void on_progress(size_t done, size_t all) override {
    const std::lock_guard lock(mutex_);
    progress.push_back(done);
    of = all;
    if (hold) hold->wait();
  }
  void on_scenario(const verdict::ScenarioResult& result) override {
    const std::lock_guard lock(mutex_);
    scenarios.push_back(result.scenario);
  }
  void on_finished(absl::StatusOr<Finished> f) override {
    const std::lock_guard lock(mutex_);
    finished = std::move(f);
    ++times_finished;
    changed_.notify_all();
  }
  absl::StatusOr<Finished>& wait() {
    std::unique_lock lock(mutex_);
    EXPECT_TRUE(changed_.wait_for(lock, 60s, [&] { return times_finished > 0; }));
    return finished;
  }

  std::vector<size_t> progress;
  size_t of = 0;
  std::vector<std::string> scenarios;
  absl::StatusOr<Finished> finished = absl::UnknownError("not finished");
  int times_finished = 0;
  std::latch* hold = nullptr;

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
};

// A store that refuses to keep runs.
class FullStore : public store::Store {
 public:
  absl::Status put_run(const store::RunRow&) override {
    return absl::ResourceExhaustedError("the disk is full");
  }
  absl::StatusOr<store::RunRow> get_run(const std::string& id) override { return under_->get_run(id); }
  absl::StatusOr<store::Page<store::RunRow>> list_runs(const store::Query& q) override {
    return under_->list_runs(q);
  }
  absl::StatusOr<std::vector<store::RunRow>> newest_of_builds(const std::string& library,
                                                              int limit) override {
    return under_->newest_of_builds(library, limit);
  }
  absl::StatusOr<store::RunRow> anchor_build(const std::string& library) override {
    return under_->anchor_build(library);
  }
  absl::StatusOr<std::int64_t> count_runs() override { return under_->count_runs(); }
  absl::Status put_event(const store::EventRow& e) override { return under_->put_event(e); }
  absl::StatusOr<store::Page<store::EventRow>> list_events(int size, const std::string& token) override {
    return under_->list_events(size, token);
  }
  absl::Status put_baseline(const store::BaselineRow& b) override { return under_->put_baseline(b); }
  absl::StatusOr<store::BaselineRow> get_baseline(const std::string& sha256) override {
    return under_->get_baseline(sha256);
  }
  absl::StatusOr<store::Page<store::BaselineRow>> list_baselines(const store::Query& q) override {
    return under_->list_baselines(q);
  }
  absl::Status checkpoint() override { return absl::OkStatus(); }

 private:
  std::unique_ptr<store::Store> under_ = store::open_memory_store();
};

class DeskTest : public testing::Test {
 protected:
  DeskTest() {
    copy_.keep({"saltmarsh_dry_100", "step_hand", "ramp_hand"});
    copy_.make_baseline();
  }

  std::unique_ptr<Desk> open(DeskLimits limits = {}, std::unique_ptr<store::Store> store = nullptr) {
    auto libraries = Libraries::load({copy_.folder()}, {});
    EXPECT_TRUE(libraries.ok()) << libraries.status();
    auto history = std::make_unique<History>(
        store ? std::move(store) : store::open_memory_store(),
        [this](const std::string& operation, const absl::Status&) { failed_.push_back(operation); });
    return std::make_unique<Desk>(*std::move(libraries), std::move(history), service_, results_, limits);
  }

  Session session(Desk& desk, const std::function<void(v1::Calibration&)>& change = {}) {
    const auto held = desk.libraries().find("sorrel");
    Given given;
    given.candidate = held->library->calibrations.front();
    if (change) {
      change(given.candidate.message);
      given.candidate.sha256 = "changed";
    }
    document::Faults faults;
    auto session = open_session(held->library, std::move(given), faults);
    EXPECT_TRUE(session) << faults.render();
    return *std::move(session);
  }

  LibraryCopy copy_;
  std::vector<std::string> failed_;
  std::shared_ptr<metrics::ServiceMetrics> service_ =
      std::make_shared<metrics::ServiceMetrics>("0", 1, std::vector<std::string>{});
  std::shared_ptr<metrics::ResultMetrics> results_ = std::make_shared<metrics::ResultMetrics>();
};

TEST_F(DeskTest, ARunIsToldKeptAndEqualToACheckInProcess) {
  const auto desk = open();
  const auto watcher = std::make_shared<Remembering>();
  const auto ticket = desk->submit(session(*desk), "", watcher);
  ASSERT_TRUE(ticket.ok()) << ticket.status();
  EXPECT_EQ((*ticket)->replays, 3);
  const auto& finished = watcher->wait();
  ASSERT_TRUE(finished.ok()) << finished.status();
  EXPECT_TRUE(finished->kept) << finished->notice;
  EXPECT_EQ(watcher->scenarios, (std::vector<std::string>{"saltmarsh_dry_100", "step_hand", "ramp_hand"}));
  EXPECT_EQ(watcher->progress.back(), watcher->of);
  EXPECT_TRUE(desk->drain(std::chrono::steady_clock::now() + 60s));
  EXPECT_EQ(watcher->times_finished, 1);

  Options in_process;
  in_process.library = copy_.folder();
  in_process.calibration = copy_.released();
  const auto run = check(in_process);
  ASSERT_TRUE(run.ok()) << run.status();
  EXPECT_EQ(finished->run.result_sha256, run->result_sha256);
  EXPECT_EQ(finished->run.verdict, verdict::Verdict::kPass);
  const auto again = desk->history().run((*ticket)->run_id);
  ASSERT_TRUE(again.ok()) << again.status();
  EXPECT_EQ(to_message(*again).SerializeAsString(), to_message(finished->run).SerializeAsString());
  EXPECT_EQ(results_->page().find("build="), std::string::npos) << "a variant shows on no dashboard";
}

TEST_F(DeskTest, AnEventBuildShowsInTheResultsAndAfterARestart) {
  const auto desk = open();
  for (const char* build : {"corrie-r2", "corrie-r3"}) {
    const auto watcher = std::make_shared<Remembering>();
    ASSERT_TRUE(desk->submit(session(*desk), build, watcher).ok());
    ASSERT_TRUE(watcher->wait().ok()) << watcher->finished.status();
    EXPECT_EQ(watcher->finished->run.event_build, build);
    EXPECT_NE(results_->page().find("build=\"" + std::string(build) + "\""), std::string::npos);
  }
  const auto builds = desk->history().builds("sorrel", 5);
  ASSERT_TRUE(builds.ok()) << builds.status();
  ASSERT_EQ(builds->newest.size(), 2u);
  EXPECT_EQ(builds->newest[0].event_build, "corrie-r3");
  ASSERT_TRUE(builds->anchor.has_value());
  EXPECT_EQ(builds->anchor->event_build, "corrie-r2");
}

TEST_F(DeskTest, TheQueueIsBounded) {
  DeskLimits limits;
  limits.queued_runs = 1;
  const auto desk = open(limits);
  std::latch hold(1);
  const auto first = std::make_shared<Remembering>();
  first->hold = &hold;
  ASSERT_TRUE(desk->submit(session(*desk), "", first).ok());
  const auto second = std::make_shared<Remembering>();
  const auto third = std::make_shared<Remembering>();
  const auto waiting = desk->submit(session(*desk), "", second);
  ASSERT_TRUE(waiting.ok()) << waiting.status();
  const auto refused = desk->submit(session(*desk), "", third);
  EXPECT_EQ(refused.status().code(), absl::StatusCode::kResourceExhausted);
  EXPECT_EQ(desk->submit([] {}).code(), absl::StatusCode::kResourceExhausted);
  hold.count_down();
  EXPECT_TRUE(second->wait().ok());
  EXPECT_TRUE(desk->drain(std::chrono::steady_clock::now() + 60s));
  EXPECT_EQ(third->times_finished, 0);
}

TEST_F(DeskTest, CancellingEndsAWaitingRunWhileAnotherRuns) {
  DeskLimits limits;
  const auto desk = open(limits);
  std::latch hold(1);
  const auto running = std::make_shared<Remembering>();
  running->hold = &hold;
  ASSERT_TRUE(desk->submit(session(*desk), "", running).ok());
  const auto waiting = std::make_shared<Remembering>();
  const auto ticket = desk->submit(session(*desk), "", waiting);
  ASSERT_TRUE(ticket.ok());
  (*ticket)->cancel();
  EXPECT_TRUE(absl::IsCancelled(waiting->wait().status())) << waiting->finished.status();
  EXPECT_EQ(running->times_finished, 0);
  hold.count_down();
  EXPECT_TRUE(running->wait().ok());
  (*ticket)->cancel();
  EXPECT_EQ(waiting->times_finished, 1);
}

TEST_F(DeskTest, StoppingCancelsAndRefuses) {
  const auto desk = open();
  std::latch hold(1);
  const auto running = std::make_shared<Remembering>();
  running->hold = &hold;
  ASSERT_TRUE(desk->submit(session(*desk), "", running).ok());
  desk->close();
  EXPECT_TRUE(absl::IsUnavailable(desk->submit(session(*desk), "", running).status()));
  EXPECT_FALSE(desk->drain(std::chrono::steady_clock::now()));
  desk->cancel_all();
  hold.count_down();
  EXPECT_TRUE(desk->drain(std::chrono::steady_clock::now() + 60s));
  EXPECT_EQ(running->times_finished, 1);
}

TEST_F(DeskTest, WhatCannotBeKeptIsSaid) {
  const auto desk = open({}, std::make_unique<FullStore>());
  const auto variant = std::make_shared<Remembering>();
  ASSERT_TRUE(desk->submit(session(*desk), "", variant).ok());
  ASSERT_TRUE(variant->wait().ok()) << "a variant has its verdict all the same";
  EXPECT_FALSE(variant->finished->kept);
  EXPECT_EQ(variant->finished->notice, "the disk is full");
  const auto build = std::make_shared<Remembering>();
  ASSERT_TRUE(desk->submit(session(*desk), "corrie-r2", build).ok());
  EXPECT_TRUE(absl::IsUnavailable(build->wait().status()));
  EXPECT_EQ(build->finished.status().message(),
            "the run of event build \"corrie-r2\" came to the verdict pass but could not be kept");
  EXPECT_EQ(failed_, (std::vector<std::string>{"put_run", "put_run"}));
}

TEST_F(DeskTest, ABadLibraryIsRefusedAndTheOldOneStays) {
  const auto desk = open();
  const std::string before = desk->libraries().find("sorrel")->sha256;
  EXPECT_FALSE(desk->reload().front().changed) << "nothing has changed";
  copy_.set_value(copy_.file("scenarios/step_hand.textproto"), "initial_speed_kph", "-3");
  const auto bad = desk->reload();
  ASSERT_EQ(bad.size(), 1u);
  EXPECT_EQ(bad[0].status.code(), absl::StatusCode::kInvalidArgument);
  EXPECT_EQ(desk->libraries().find("sorrel")->sha256, before);
}

TEST_F(DeskTest, TwoLibrariesOfOneNameAreRefused) {
  const auto both = Libraries::load({copy_.folder(), copy_.folder()}, {});
  EXPECT_EQ(both.status().code(), absl::StatusCode::kInvalidArgument);
  EXPECT_NE(both.status().message().find("names must be unique"), std::string::npos);
}

TEST_F(DeskTest, WhatACallerGivesReplacesTheLibrarys) {
  const auto desk = open();
  const auto held = desk->libraries().find("sorrel");
  Given given;
  given.candidate = held->library->calibrations.front();
  given.vehicle = held->library->vehicle;
  given.vehicle->message.set_name("another car");
  given.vehicle->sha256 = "another";
  document::Faults faults;
  EXPECT_FALSE(open_session(held->library, given, faults));
  EXPECT_NE(faults.render().find("this calibration belongs to"), std::string::npos) << faults.render();
  faults = {};
  given.vehicle->message.set_name(held->library->vehicle.message.name());
  const auto session = open_session(held->library, given, faults);
  ASSERT_TRUE(session) << faults.render();
  EXPECT_EQ(session->library->vehicle.sha256, "another");
  EXPECT_EQ(check_baseline(*session).code(), absl::StatusCode::kFailedPrecondition)
      << "the baseline was made with the library's vehicle";
  EXPECT_EQ(held->library->vehicle.sha256, desk->libraries().find("sorrel")->library->vehicle.sha256);
}

TEST_F(DeskTest, TheChangesOfTheCalibrationAreInTheRun) {
  const auto desk = open();
  const auto watcher = std::make_shared<Remembering>();
  auto changed = session(*desk, [](v1::Calibration& c) {
    c.set_name("variant");
    c.mutable_hand_control()->set_low_pass_hz(20);
  });
  EXPECT_EQ(count_replays(changed), 4) << "the recorded scenario is also replayed with what was on the car";
  ASSERT_TRUE(desk->submit(std::move(changed), "", watcher).ok());
  ASSERT_TRUE(watcher->wait().ok());
  const auto& changes = watcher->finished->run.calibration_changes;
  ASSERT_EQ(changes.size(), 1u) << "the name is no value of the brakes";
  EXPECT_EQ(changes[0].address, "hand_control.low_pass_hz");
  EXPECT_EQ(changes[0].after, "20 Hz");
}

TEST(RunMessage, KeepsEveryBitAndRefusesWhatWasChanged) {
  verdict::Run run;
  run.calibration_name = "c";
  run.state = verdict::RunState::kCompleted;
  run.verdict = verdict::Verdict::kFail;
  verdict::ScenarioResult s;
  s.scenario = "s";
  s.scenario_class = "split_friction";
  s.verdict = verdict::Verdict::kFail;
  verdict::MeasureResult m;
  m.measure = "stopping_distance";
  m.value = 0.1 + 0.2;
  m.baseline = -0.0;
  m.tolerance_used = std::numeric_limits<double>::denorm_min();
  m.verdict = verdict::Verdict::kFail;
  m.reason = "grew";
  s.measures.push_back(m);
  s.reproduction = verdict::Reproduction{"on car", 0.1, std::nullopt, 0.2};
  verdict::FaultResult fault;
  fault.fault = "track_a_open";
  fault.replays = 7;
  fault.worst_replay = "open/track_a_open/s@+0.250s";
  fault.verdict = verdict::Verdict::kFail;
  fault.reason = "why";
  fault.measures.push_back(m);
  s.campaign = verdict::CampaignResult{0.1 + 0.7, {fault}};
  run.scenarios.push_back(s);
  run.tier = verdict::Tier::kEndurance;
  run.numerics_version = 1;
  run.result_sha256 = verdict::result_sha256(run);
  v1::Run message = to_message(run);
  v1::Run travelled;
  ASSERT_TRUE(travelled.ParseFromString(message.SerializeAsString()));
  const auto back = from_message(travelled);
  ASSERT_TRUE(back.ok()) << back.status();
  EXPECT_EQ(verdict::result_sha256(*back), run.result_sha256);
  EXPECT_FALSE(back->scenarios[0].measures[0].allowed_change.has_value());
  EXPECT_EQ(to_message(*back).SerializeAsString(), message.SerializeAsString());
  EXPECT_EQ(back->tier, verdict::Tier::kEndurance);
  travelled.mutable_scenarios(0)->mutable_measures(0)->set_value(0.3);
  EXPECT_EQ(from_message(travelled).status().code(), absl::StatusCode::kInvalidArgument);
  travelled = message;
  travelled.mutable_scenarios(0)->mutable_campaign()->mutable_faults(0)->set_replays(8);
  EXPECT_EQ(from_message(travelled).status().code(), absl::StatusCode::kInvalidArgument);
  travelled = message;
  travelled.set_verdict(static_cast<v1::Verdict>(77));
  EXPECT_NE(from_message(travelled).status().message().find("77"), std::string::npos);
}

TEST(History, TimesReadAsRfc3339) {
  EXPECT_EQ(rfc3339(0), "1970-01-01T00:00:00.000Z");
  EXPECT_EQ(rfc3339(951827696123), "2000-02-29T12:34:56.123Z");
  EXPECT_EQ(rfc3339(-1), "1969-12-31T23:59:59.999Z");
}

}  // namespace
}  // namespace brakeward::gate
