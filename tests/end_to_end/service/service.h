// A service of a test's own: on free ports, with a folder of its own, stopped by its process id.
#pragma once

#include <sys/types.h>

#include <chrono>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "end_to_end/program.h"

namespace brakeward::end_to_end {

inline constexpr std::chrono::seconds kDeadline{60};

// Asks until the answer is true; false after the deadline.
bool poll_until(const std::function<bool()>& is_true, std::chrono::seconds deadline = kDeadline);

class Service {
 public:
  // Writes `config`, adding free loopback ports where it says none, starts `serve` on it and waits until it
  // is ready. `before` is put before the program.
  Service(const std::filesystem::path& folder, const std::string& config,
          const std::vector<std::string>& before = {});
  ~Service();  // kills what still runs
  Service(const Service&) = delete;
  Service& operator=(const Service&) = delete;

  bool is_ready() const { return !rpc_.empty(); }
  const std::string& rpc() const { return rpc_; }
  const std::string& metrics() const { return metrics_; }
  std::string log() const { return read_file(log_file_); }
  bool has_logged(const std::string& text) const { return log().find(text) != std::string::npos; }

  // The metrics page, and the value of one series; NaN when it is not there.
  std::string page() const;
  double value(const std::string& series) const;

  void signal(int number) const;
  // Waits for the end.
  Outcome end();
  Outcome stop();

  // `brakeward check --server THIS ...`.
  Outcome check(const std::string& library, const std::string& calibration,
                std::vector<std::string> more = {}) const;

 private:
  void read_ready_line(int pipe);

  std::filesystem::path log_file_;
  pid_t child_ = -1;
  std::string rpc_, metrics_;
};

// Writes the configuration as Service does and returns its file.
std::string write_config(const std::filesystem::path& folder, const std::string& config);

// A library that takes about a quarter of a second of one core to replay, without a baseline.
void make_slow_library(const std::filesystem::path& folder);

std::string demo_library();
std::string demo_calibration(const std::string& name);

}  // namespace brakeward::end_to_end
