#include "gate/runner.h"

#include <algorithm>

namespace brakeward::gate {

Runner::Runner(int workers, int queue_limit, std::function<void(int, int)> changed)
    : workers_wanted_(workers), queue_limit_(queue_limit), told_(std::move(changed)) {
  for (int i = 0; i < workers; ++i) workers_.emplace_back([this] { work(queue_, running_); });
  workers_.emplace_back([this] { work(hurried_, hurrying_); });
}

Runner::~Runner() {
  close();
  {
    const std::lock_guard lock(mutex_);
    ending_ = true;
  }
  changed_.notify_all();
  for (std::thread& t : workers_) t.join();
}

std::optional<Runner::Place> Runner::take(std::function<void()> job) {
  const std::lock_guard lock(mutex_);
  const int waiting = static_cast<int>(queue_.size());
  const int idle = workers_wanted_ - running_;
  if (closed_ || waiting >= queue_limit_ + idle) return std::nullopt;
  queue_.push_back({++taken_, std::move(job)});
  tell();
  return Place{taken_, std::max(0, waiting - idle)};
}

void Runner::hurry(std::uint64_t job) {
  const std::lock_guard lock(mutex_);
  const auto it = std::find_if(queue_.begin(), queue_.end(), [&](const Job& j) { return j.id == job; });
  if (it == queue_.end()) return;
  hurried_.push_back(std::move(*it));
  queue_.erase(it);
  tell();
}

void Runner::close() {
  const std::lock_guard lock(mutex_);
  closed_ = true;
}

bool Runner::wait_idle(std::chrono::steady_clock::time_point deadline) {
  std::unique_lock lock(mutex_);
  return changed_.wait_until(
      lock, deadline, [&] { return queue_.empty() && hurried_.empty() && running_ == 0 && hurrying_ == 0; });
}

int Runner::running() const {
  const std::lock_guard lock(mutex_);
  return running_;
}

int Runner::waiting() const {
  const std::lock_guard lock(mutex_);
  return static_cast<int>(queue_.size());
}

// Called with the lock held, so that the numbers told come in order.
void Runner::tell() {
  if (told_) told_(static_cast<int>(queue_.size()), running_ + hurrying_);
  changed_.notify_all();
}

void Runner::work(std::deque<Job>& queue, int& running) {
  std::unique_lock lock(mutex_);
  for (;;) {
    changed_.wait(lock, [&] { return ending_ || !queue.empty(); });
    if (queue.empty()) return;
    const Job job = std::move(queue.front());
    queue.pop_front();
    ++running;
    tell();
    lock.unlock();
    job.work();
    lock.lock();
    --running;
    tell();
  }
}

}  // namespace brakeward::gate
