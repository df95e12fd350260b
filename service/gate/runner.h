// A few workers and a bounded queue.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <thread>
#include <vector>

namespace brakeward::gate {

// Thread-safe. Jobs start in the order in which they were taken. One thread more than there are workers does
// the jobs that were hurried: those that will end at once because nobody wants them any more.
class Runner {
 public:
  // `changed`: told of every change of the two numbers, in order; must return soon and not call the runner.
  Runner(int workers, int queue_limit, std::function<void(int waiting, int running)> changed = {});
  ~Runner();  // closes, lets every job taken end

  // A job that was taken.
  struct Place {
    std::uint64_t job = 0;
    int ahead = 0;  // jobs that wait before it
  };
  // Takes the job; nothing when the queue is full or closed. A job that an idle worker can take at once needs
  // no place in the queue.
  std::optional<Place> take(std::function<void()> job);

  // Runs the job now if it still waits.
  void hurry(std::uint64_t job);

  // Takes no more jobs.
  void close();
  // True when every job taken has ended by then.
  bool wait_idle(std::chrono::steady_clock::time_point deadline);

  int running() const;
  int waiting() const;

 private:
  struct Job {
    std::uint64_t id;
    std::function<void()> work;
  };
  void work(std::deque<Job>& queue, int& running);
  void tell();

  const int workers_wanted_;
  const int queue_limit_;
  mutable std::mutex mutex_;  // guards everything below but the threads
  const std::function<void(int, int)> told_;
  std::condition_variable changed_;
  std::deque<Job> queue_, hurried_;
  std::uint64_t taken_ = 0;
  int running_ = 0, hurrying_ = 0;
  bool closed_ = false;
  bool ending_ = false;
  std::vector<std::thread> workers_;
};

}  // namespace brakeward::gate
