// Parts of the terminal view. Internal to the room.
#pragma once

#include <string>
#include <string_view>

#include "report/terminal.h"

namespace brakeward::report {

// "x", "=", ...: the shape beside the word.
std::string_view mark(verdict::Verdict v);

// The text in the verdict's colour, or as it is when colour was not asked for.
std::string paint(std::string_view text, verdict::Verdict v, const TerminalOptions& options);

// The text wrapped, its first line after `lead` and the others indented as far.
std::string paragraph(std::string_view lead, std::string_view text, const TerminalOptions& options);

// The table with the reasons under its rows.
std::string scenario_table(const verdict::Run& run, const TerminalOptions& options);

// The faults of every campaign; empty when there is none.
std::string campaigns_section(const verdict::Run& run, const TerminalOptions& options);

// The laps of every stint; empty when there is none.
std::string laps_section(const verdict::Run& run);

// What is fitted to the car, and where recordings say otherwise; empty where the vehicle does not say.
std::string build_sheet_section(const verdict::Run& run, const TerminalOptions& options);

// Why measures are none, grouped by reason; empty when there are none.
std::string not_judged_section(const verdict::Run& run, const TerminalOptions& options);

// How well the recordings were reproduced; empty when no scenario says.
std::string reproduction_section(const verdict::Run& run);

// Scenarios and measures per verdict, and the verdict of the run.
std::string summary_section(const verdict::Run& run, const TerminalOptions& options);

}  // namespace brakeward::report
