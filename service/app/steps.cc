#include "app/steps.h"

#include <condition_variable>
#include <mutex>
#include <thread>

#include "app/log.h"

namespace brakeward::app {
namespace {

constexpr std::chrono::milliseconds kGrace = std::chrono::seconds(1);

// Calls a function unless destroyed before a time.
class Alarm {
 public:
  Alarm(Clock::time_point at, std::function<void()> ring)
      : thread_([this, at, ring = std::move(ring)] {
          std::unique_lock lock(mutex_);
          if (!changed_.wait_until(lock, at, [this] { return off_; })) ring();
        }) {}
  ~Alarm() {
    {
      const std::lock_guard lock(mutex_);
      off_ = true;
    }
    changed_.notify_all();
    thread_.join();
  }

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
  bool off_ = false;    // guarded by mutex_
  std::thread thread_;  // last: uses the others
};

}  // namespace

Steps::Steps(std::function<void(const Step&)> overdue) : overdue_(std::move(overdue)) {}

void Steps::add(Step step) {
  steps_.push_back(std::move(step));
}

absl::Status Steps::timed(const Step& step, const char* verb, std::chrono::milliseconds within,
                          const std::function<absl::Status()>& act) {
  const auto began = Clock::now();
  absl::Status status;
  {
    const Alarm alarm(began + within + kGrace, [&] { overdue_(step); });
    status = act();
  }
  const auto took = std::chrono::duration_cast<std::chrono::milliseconds>(Clock::now() - began);
  if (status.ok()) {
    say(Level::kInfo, step.name, std::string(verb) + " in " + std::to_string(took.count()) + " ms");
  } else {
    say(step.name, status);
    say(Level::kError, step.name,
        "not " + std::string(verb) + ", after " + std::to_string(took.count()) + " ms");
  }
  return status;
}

absl::Status Steps::start() {
  for (; started_ < steps_.size(); ++started_) {
    const Step& step = steps_[started_];
    if (!step.start) continue;
    absl::Status status = timed(step, "started", step.start_within, step.start);
    if (!status.ok()) {
      stop().IgnoreError();
      return status;
    }
  }
  return absl::OkStatus();
}

absl::Status Steps::stop() {
  absl::Status first;
  for (; started_ > 0; --started_) {
    const Step& step = steps_[started_ - 1];
    if (!step.stop) continue;
    first.Update(
        timed(step, "stopped", step.stop_within, [&] { return step.stop(Clock::now() + step.stop_within); }));
  }
  return first;
}

}  // namespace brakeward::app
