// A few workers and a bounded queue.
#pragma once

#include <chrono>
#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <thread>
#include <vector>

namespace brakeward::gate {

// Thread-safe. Jobs start in the order in which they were taken.
class Runner {
 public:
  Runner(int workers, int queue_limit);
  ~Runner();  // closes, lets every job taken end

  // Takes the job and says how many wait before it; nothing when the queue is full or closed. A job that an
  // idle worker takes at once needs no place in the queue.
  std::optional<int> take(std::function<void()> job);

  // Takes no more jobs.
  void close();
  // True when every job taken has ended by then.
  bool wait_idle(std::chrono::steady_clock::time_point deadline);

  int running() const;
  int waiting() const;

 private:
  void work();

  const int queue_limit_;
  mutable std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<std::function<void()>> queue_;
  int running_ = 0;
  bool closed_ = false;
  bool ending_ = false;
  std::vector<std::thread> workers_;
};

}  // namespace brakeward::gate
