// Changed hardware as a table, for a terminal and for a merge request.
#pragma once

#include <string>

#include "report/terminal.h"
#include "verdict/comparison.h"

namespace brakeward::report {

// A measure that neither hardware nor calibration moved by this share of its tolerance is counted, not shown,
// unless all are wanted.
inline constexpr double kComparedShown = 0.5;

// One row a measure of a scenario, the greatest change in shares of its tolerance first: the old calibration
// on the old car, what the hardware did, what the calibration did, the new calibration on the new car.
std::string render_comparison(const verdict::HardwareComparison& comparison, bool all,
                              const TerminalOptions& options = {});
std::string render_comparison_markdown(const verdict::HardwareComparison& comparison, bool all);

}  // namespace brakeward::report
