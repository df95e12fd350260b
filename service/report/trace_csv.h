// A trace as CSV.
#pragma once

#include <string>
#include <vector>

namespace brakeward::report {

// Header "name (unit)" in the order of signal/observables.h, then one line a tick. Shortest numbers that read
// back to the same bits; an empty cell where nothing was recorded.
std::string render_trace_csv(const std::vector<double>& rows);

}  // namespace brakeward::report
