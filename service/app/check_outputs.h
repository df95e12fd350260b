// Where a check's run goes besides the terminal.
#pragma once

#include <string>

#include "absl/status/status.h"
#include "verdict/run.h"

namespace brakeward::app {

// Files and an address; empty for none.
struct CheckOutputs {
  std::string json, junit, markdown;
  std::string textfile, push;  // results of an event build
};

// Writes every file that can be written, whole or not at all, then pushes; tells each failure on standard
// error. The exit code of the first failure, or that of the run's verdict.
int write_outputs(const CheckOutputs& outputs, const verdict::Run& run);

}  // namespace brakeward::app
