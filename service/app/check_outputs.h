// Where a check's run goes besides the terminal.
#pragma once

#include <string>

#include "absl/status/status.h"
#include "report/html.h"
#include "verdict/run.h"

namespace brakeward::app {

// Files and an address; empty for none.
struct CheckOutputs {
  std::string json, junit, markdown, html;
  std::string textfile, push;  // results of an event build
};

// Writes every file that can be written, whole or not at all, then pushes; tells each failure on standard
// error. `extras` are for the HTML report. The exit code of the first failure, or that of the run's verdict.
int write_outputs(const CheckOutputs& outputs, const verdict::Run& run, const report::HtmlExtras& extras);

}  // namespace brakeward::app
