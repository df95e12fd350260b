// From the cells of one column to a whole channel in its base unit.
#pragma once

#include <vector>

#include "recording/rows.h"

namespace brakeward::recording {

// One fault when the channel leaves the plausible range of its signal.
void check_range(const std::vector<double>& values, const Rows& rows, const Column& column,
                 Findings& findings);

// Fills missing cells: linearly between neighbours, held at the ends. A run of several that lasts longer than
// the longest gap is a fault; a single missing cell never is.
void bridge(std::vector<double>& values, const Rows& rows, const std::vector<double>& time_s,
            const Column& column, double longest_gap_s, Findings& findings);

// To the signal's base unit, and earlier by the channel's delay.
void convert(std::vector<double>& values, const std::vector<double>& time_s, const Column& column,
             Findings& findings);

}  // namespace brakeward::recording
