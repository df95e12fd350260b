// Where a service hands in its work: takes an order, queues it, runs it, keeps the result, counts it.
#pragma once

#include <atomic>
#include <memory>
#include <string>
#include <unordered_set>

#include "absl/status/statusor.h"
#include "gate/history.h"
#include "gate/libraries.h"
#include "gate/runner.h"
#include "gate/session.h"
#include "metrics/result_metrics.h"
#include "metrics/service_metrics.h"

namespace brakeward::gate {

struct DeskLimits {
  int concurrent_runs = 1;
  int queued_runs = 32;
  int threads_per_run = 0;  // 0: one per core
  int replays_per_run = 10000;
};

// A finished run and what became of it.
struct Finished {
  verdict::Run run;
  bool kept = false;
  std::string notice;  // why it is not kept; empty otherwise
};

// Who watches a run. Called from the run's own threads, one call at a time; must return soon and must not
// call the desk.
class Watcher {
 public:
  virtual ~Watcher() = default;
  virtual void on_progress(size_t done, size_t all) = 0;
  virtual void on_scenario(const verdict::ScenarioResult& result) = 0;  // library order
  // Last call. Cancelled when the ticket was cancelled; Unavailable when a run marked as an event build could
  // not be kept: a build that the dashboards would miss must not look done. Why, only the history is told.
  virtual void on_finished(absl::StatusOr<Finished> finished) = 0;
};

// A run that was taken. cancel() may be called from any thread, any number of times; the run ends within
// 100 ms of it, also when it still waits.
struct Ticket {
  std::string run_id;
  int replays = 0;
  int runs_ahead = 0;
  std::atomic<bool> cancelled{false};
  Runner* runner = nullptr;
  std::uint64_t job = 0;

  // Returns at once; the watcher hears of it on another thread.
  void cancel() {
    cancelled = true;
    runner->hurry(job);
  }
};

// Thread-safe.
class Desk {
 public:
  Desk(std::unique_ptr<Libraries> libraries, std::unique_ptr<History> history,
       std::shared_ptr<metrics::ServiceMetrics> service_metrics,
       std::shared_ptr<metrics::ResultMetrics> result_metrics, const DeskLimits& limits);
  ~Desk();

  Libraries& libraries() { return *libraries_; }
  History& history() { return *history_; }
  const DeskLimits& limits() const { return limits_; }

  // Queues a check. The session has been opened and its baseline checked. ResourceExhausted when the queue is
  // full, Unavailable when the desk is closed; then the watcher is never called.
  absl::StatusOr<std::shared_ptr<Ticket>> submit(Session session, const std::string& event_build,
                                                 std::shared_ptr<Watcher> watcher);
  // Queues other work under the same limits; the same errors.
  absl::Status submit(std::function<void()> job);

  // Loads the libraries again, archives their baselines, notes what happened.
  std::vector<Libraries::Reloaded> reload();

  // No new work from here on.
  void close();
  // True when every run has ended by then.
  bool drain(std::chrono::steady_clock::time_point deadline);
  // Cancels every run, waiting or running.
  void cancel_all();

  int running() const { return runner_.running(); }
  int waiting() const { return runner_.waiting(); }

 private:
  absl::StatusOr<Finished> run(const Session& session, const std::string& event_build, Ticket& ticket,
                               Watcher& watcher);
  void count(const absl::StatusOr<Finished>& finished, double seconds);
  Finished kept(verdict::Run run);
  void archive_baselines();
  void publish_builds(const std::string& library);

  std::unique_ptr<Libraries> libraries_;
  std::unique_ptr<History> history_;
  std::shared_ptr<metrics::ServiceMetrics> service_metrics_;
  std::shared_ptr<metrics::ResultMetrics> result_metrics_;
  const DeskLimits limits_;
  std::mutex mutex_;
  std::unordered_set<std::shared_ptr<Ticket>> tickets_;  // guarded by mutex_
  bool closed_ = false;                                  // guarded by mutex_
  Runner runner_;                                        // last: its threads end before what they use
};

}  // namespace brakeward::gate
