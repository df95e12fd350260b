// Start and stop as one list: started forwards, stopped backwards.
#pragma once

#include <chrono>
#include <functional>
#include <string>
#include <vector>

#include "absl/status/status.h"

namespace brakeward::app {

using Clock = std::chrono::steady_clock;

// One thing that is started and stopped. A function that is not set has nothing to do.
struct Step {
  std::string name;
  std::function<absl::Status()> start;
  std::function<absl::Status(Clock::time_point deadline)> stop;
  std::chrono::milliseconds start_within = std::chrono::seconds(60);
  std::chrono::milliseconds stop_within = std::chrono::seconds(10);
};

// Used by one thread. Every step is logged with how long it took.
class Steps {
 public:
  // `overdue` is called, on another thread, with a step that goes on for longer than its time and a second of
  // grace: whoever waits for the program must not wait for ever.
  explicit Steps(std::function<void(const Step&)> overdue);

  void add(Step step);

  // Starts all in order. When one fails those started are stopped, and its status is returned.
  absl::Status start();
  // Stops those started, the last first; a failure does not keep the others from being stopped. The first
  // failure.
  absl::Status stop();

 private:
  absl::Status timed(const Step& step, const char* verb, std::chrono::milliseconds within,
                     const std::function<absl::Status()>& act);

  std::function<void(const Step&)> overdue_;
  std::vector<Step> steps_;
  size_t started_ = 0;  // the first so many of steps_
};

}  // namespace brakeward::app
