// From the rows' time stamps to a strictly rising time base.
#pragma once

#include <vector>

#include "recording/rows.h"

namespace brakeward::recording {

// Slack on the longest gap, for time stamps that were rounded or counted from 1970.
inline constexpr double kTimeSlack_s = 1e-6;
// A median step below this is a wrong time unit: no brake log is sampled at 10 kHz.
inline constexpr double kShortestMedianStep_s = 1e-4;

// Drops rows that repeat the time stamp before them (the first stays); time that runs back is a fault.
void drop_repeated_times(Rows& rows, const Column& time, Findings& findings);

// Seconds from the first sample. Steps longer than the longest gap are faults; uneven steps are told as a
// repair.
std::vector<double> seconds(const Rows& rows, const Column& time, double longest_gap_s, Findings& findings);

}  // namespace brakeward::recording
