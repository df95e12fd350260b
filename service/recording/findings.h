// What reading one file brought to light: faults, all counted and the first twenty told, and repairs.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "absl/status/status.h"
#include "recording/recording.h"
#include "recording/text.h"

namespace brakeward::recording {

class Findings {
 public:
  static constexpr size_t kListed = 20;

  explicit Findings(std::string_view file) : file_(file) {}

  // One fault; the parts are joined and come after "file: ".
  template <typename... Parts>
  void fault(const Parts&... parts) {
    if (count_++ < kListed) texts_.push_back(joined(file_, ": ", parts...));
  }

  // One repair, joined the same way.
  template <typename... Parts>
  void repair(const Parts&... parts) {
    repairs_.push_back({joined(file_, ": ", parts...)});
  }

  bool sound() const { return count_ == 0; }

  // InvalidArgument with a fault a line, then how many more there are; OK without faults.
  absl::Status status() const;

  const std::string& file() const { return file_; }
  std::vector<Repair> take_repairs() { return std::move(repairs_); }

 private:
  std::string file_;
  std::vector<std::string> texts_;
  size_t count_ = 0;
  std::vector<Repair> repairs_;
};

// A piece of the file in single quotes for a message: cut after 40 bytes, unprintable bytes escaped.
std::string in_quotes(std::string_view piece);

// Six digits at most: "0.2", "1e+06".
std::string short_number(double x);

// The shortest text that reads back as x: "1692117187.463808".
std::string exact_number(double x);

// Seconds as "200 ms".
std::string milliseconds(double s);

// "1 cell", "2 cells".
std::string counted(size_t n, std::string_view singular);

// "line 3, column 'p' (2)".
std::string place(size_t line, std::string_view column, size_t column_number);

}  // namespace brakeward::recording
