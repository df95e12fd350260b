// A run in two lines.
#pragma once

#include <string>

#include "verdict/run.h"

namespace brakeward::report {

// The verdict with scenarios per verdict, then the worst measure: its reason, or the largest share of
// tolerance used.
std::string render_brief(const verdict::Run& run);

}  // namespace brakeward::report
