#include "gate/desk.h"

#include <sys/random.h>

#include <chrono>
#include <cstdio>
#include <ctime>

namespace brakeward::gate {
namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point began) {
  return std::chrono::duration<double>(Clock::now() - began).count();
}

// Sorts by time and is no other run's: run-20260204T101502Z-1f0a5c3e7b9d2468.
std::string new_run_id() {
  const auto seconds = static_cast<std::time_t>(now_ms() / 1000);
  std::tm parts{};
  gmtime_r(&seconds, &parts);
  std::uint64_t chance = 0;
  // 8 bytes come whole once the kernel's pool is ready, and getrandom waits until it is.
  while (getrandom(&chance, sizeof chance, 0) != static_cast<ssize_t>(sizeof chance)) continue;
  char text[64];
  const size_t length = std::strftime(text, sizeof text, "run-%Y%m%dT%H%M%SZ-", &parts);
  std::snprintf(text + length, sizeof text - length, "%016llx", static_cast<unsigned long long>(chance));
  return text;
}

verdict::RunState state_of(const absl::StatusOr<Finished>& finished) {
  if (finished.ok()) return finished->run.state;
  return absl::IsCancelled(finished.status()) ? verdict::RunState::kCancelled : verdict::RunState::kAborted;
}

}  // namespace

Desk::Desk(std::unique_ptr<Libraries> libraries, std::unique_ptr<History> history,
           std::shared_ptr<metrics::ServiceMetrics> service_metrics,
           std::shared_ptr<metrics::ResultMetrics> result_metrics, const DeskLimits& limits)
    : libraries_(std::move(libraries)),
      history_(std::move(history)),
      service_metrics_(std::move(service_metrics)),
      result_metrics_(std::move(result_metrics)),
      limits_(limits),
      runner_(limits.concurrent_runs, limits.queued_runs,
              [this](int waiting, int running) { service_metrics_->set_runs(waiting, running); }) {
  archive_baselines();
  for (const auto& held : libraries_->all()) publish_builds(held->name());
}

Desk::~Desk() {
  close();
  cancel_all();
}

absl::StatusOr<std::shared_ptr<Ticket>> Desk::submit(Session session, const std::string& event_build,
                                                     std::shared_ptr<Watcher> watcher) {
  auto ticket = std::make_shared<Ticket>();
  ticket->run_id = new_run_id();
  ticket->replays = static_cast<int>(count_replays(session));
  ticket->runner = &runner_;
  const auto shared = std::make_shared<Session>(std::move(session));
  {
    const std::lock_guard lock(mutex_);
    if (closed_) return absl::UnavailableError("the service is stopping and takes no new runs");
    const auto place = runner_.take([this, shared, event_build, ticket, watcher] {
      const auto began = Clock::now();
      auto finished = run(*shared, event_build, *ticket, *watcher);
      count(finished, seconds_since(began));
      {
        const std::lock_guard inner(mutex_);
        tickets_.erase(ticket);
      }
      watcher->on_finished(std::move(finished));
    });
    if (!place)
      return absl::ResourceExhaustedError("all " + std::to_string(limits_.queued_runs) +
                                          " places of the queue are taken; try again later");
    ticket->job = place->job;
    ticket->runs_ahead = place->ahead;
    tickets_.insert(ticket);
  }
  return ticket;
}

absl::Status Desk::submit(std::function<void()> job) {
  const std::lock_guard lock(mutex_);
  if (closed_) return absl::UnavailableError("the service is stopping and takes no new work");
  if (runner_.take(std::move(job))) return absl::OkStatus();
  return absl::ResourceExhaustedError("all " + std::to_string(limits_.queued_runs) +
                                      " places of the queue are taken; try again later");
}

absl::StatusOr<Finished> Desk::run(const Session& session, const std::string& event_build, Ticket& ticket,
                                   Watcher& watcher) {
  CheckOptions how;
  how.threads = limits_.threads_per_run;
  how.cancel = &ticket.cancelled;
  how.event_build = event_build;
  how.progress = [&](size_t done, size_t all) { watcher.on_progress(done, all); };
  how.scenario = [&](const verdict::ScenarioResult& result) { watcher.on_scenario(result); };
  if (ticket.cancelled) return absl::CancelledError("the run was cancelled before it began");
  auto run = check(session, how);
  if (!run.ok()) return run.status();
  run->run_id = ticket.run_id;
  Finished finished = kept(*std::move(run));
  if (!finished.kept && !event_build.empty())
    return absl::UnavailableError("the run of event build \"" + event_build + "\" came to the verdict " +
                                  word(finished.run.verdict) + " but could not be kept");
  if (!event_build.empty()) publish_builds(finished.run.library_name);
  return finished;
}

Finished Desk::kept(verdict::Run run) {
  const std::int64_t now = now_ms();
  run.finished_at = rfc3339(now);
  Finished finished;
  const absl::Status status = history_->keep(run, now);
  finished.kept = status.ok();
  if (!status.ok()) finished.notice = std::string(status.message());
  finished.run = std::move(run);
  return finished;
}

void Desk::count(const absl::StatusOr<Finished>& finished, double seconds) {
  const verdict::Verdict came_to = finished.ok() ? finished->run.verdict : verdict::Verdict::kNone;
  service_metrics_->run_finished(state_of(finished), came_to, seconds);
  if (!finished.ok()) return;
  service_metrics_->replayed_seconds(finished->run.replayed_s);
  for (const auto& s : finished->run.scenarios) service_metrics_->replays(s.verdict, 1);
}

std::vector<Libraries::Reloaded> Desk::reload() {
  auto outcome = libraries_->reload();
  for (const auto& r : outcome) {
    if (!r.status.ok())
      history_->note("refused", r.name, std::string(r.status.message()));
    else if (r.changed)
      history_->note("loaded", r.name, "the library has new content");
  }
  archive_baselines();
  for (const auto& held : libraries_->all()) publish_builds(held->name());
  return outcome;
}

void Desk::close() {
  const std::lock_guard lock(mutex_);
  closed_ = true;
  runner_.close();
}

bool Desk::drain(Clock::time_point deadline) {
  return runner_.wait_idle(deadline);
}

void Desk::cancel_all() {
  const std::lock_guard lock(mutex_);
  for (const auto& ticket : tickets_) ticket->cancel();
}

void Desk::archive_baselines() {
  for (const auto& held : libraries_->all()) {
    const auto& baseline = held->library->baseline;
    // A failure is counted; checks go on with the library's own copy.
    if (baseline) (void)history_->keep_baseline(held->name(), baseline->message, baseline->sha256);
  }
}

void Desk::publish_builds(const std::string& library) {
  const auto builds = history_->builds(library, metrics::kNewestBuilds);
  const absl::Status status =
      builds.ok() ? result_metrics_->set(library, builds->newest, builds->anchor) : builds.status();
  if (!status.ok()) history_->note("not_shown", library, std::string(status.message()));
}

}  // namespace brakeward::gate
