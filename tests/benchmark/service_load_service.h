// The real `brakeward serve` as a child process.
#pragma once

#include <sys/types.h>

#include <filesystem>
#include <string>

#include "temporary_folder.h"

namespace brakeward::benchmark {

using tests::TemporaryFolder;

// Starts with one library; the destructor stops it by its process id.
class Service {
 public:
  // `more`: further lines of the configuration, `address` among them.
  Service(const std::string& program, const TemporaryFolder& folder, const std::string& library,
          const std::string& more);
  ~Service();
  Service(const Service&) = delete;
  Service& operator=(const Service&) = delete;

  bool is_ready() const { return !address_.empty(); }
  const std::string& address() const { return address_; }
  double start_ms() const { return start_ms_; }  // from fork to its ready line

 private:
  pid_t child_ = -1;
  std::string address_;
  double start_ms_ = 0;
};

}  // namespace brakeward::benchmark
