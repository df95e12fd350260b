// How far measures moved from a baseline, for who is to approve another one.
#pragma once

#include <string>

#include "verdict/run.h"

namespace brakeward::report {

// One row a measure whose value is not the baseline's, gravest first, then those that came or went; last how
// many did not move.
std::string render_moves(const verdict::Run& run);

}  // namespace brakeward::report
