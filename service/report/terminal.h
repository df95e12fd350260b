// The run as a table for people.
#pragma once

#include <cstddef>
#include <string>

#include "verdict/run.h"

namespace brakeward::report {

struct TerminalOptions {
  bool colour = false;  // ANSI colours beside the words and marks, never instead of them
  size_t width = 110;   // at which sentences wrap; the table is as wide as its names need
};

// One row a scenario with its worst measure, gravest first; below a row that did not pass, the reasons, one a
// line; then why measures were not judged, how well the recordings were reproduced, the counts and verdict,
// and last the caution. Marks: "!" error, "x" fail, "?" inconclusive, "=" pass, "-" none. Control characters
// in names and reasons are replaced, so that the only escape codes are those asked for.
std::string render_terminal(const verdict::Run& run, const TerminalOptions& options = {});

}  // namespace brakeward::report
