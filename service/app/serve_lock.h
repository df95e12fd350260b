// One service a store.
#pragma once

#include <filesystem>
#include <memory>

#include "absl/status/statusor.h"

namespace brakeward::app {

// Holds FILE.lock beside a store file until destroyed or the program ends, however it ends. Two services on
// one store would each show only their own part of it. The file stays: removing it would race with the next
// holder.
class StoreLock {
 public:
  // Unavailable when another program holds it.
  static absl::StatusOr<std::unique_ptr<StoreLock>> take(const std::filesystem::path& store_file);
  ~StoreLock();
  StoreLock(const StoreLock&) = delete;
  StoreLock& operator=(const StoreLock&) = delete;

 private:
  explicit StoreLock(int file) : file_(file) {}
  int file_;
};

}  // namespace brakeward::app
