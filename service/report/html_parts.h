// Sections of the HTML report. Internal to the room.
#pragma once

#include <string>

#include "report/html.h"

namespace brakeward::report {

// Link to the scenario, which is in `run`; anchors are by position, because names may hold anything.
std::string link_to(const verdict::Run& run, const verdict::ScenarioResult& scenario);
// The anchor itself.
std::string anchor_of(const verdict::Run& run, const verdict::ScenarioResult& scenario);

// Shape and word in a coloured frame.
std::string badge(verdict::Verdict v);

// Tolerance used as a bar whose middle is the whole tolerance, and the text.
std::string used_cell(const verdict::MeasureResult& measure, std::string_view text);

// A table a campaign, one row a fault.
std::string campaigns_section(const verdict::Run& run);

// What the extras hold of a scenario under the baseline's calibration; null for nothing.
const verdict::ScenarioResult* under_baseline(const HtmlExtras& extras, const std::string& scenario);

// A sentence on why there is nothing of the baseline, where there should be; else empty.
std::string without_baseline(const HtmlExtras& extras);

// "candidate softer_bite", "baseline spring_2", escaped.
std::string candidate_words(const verdict::Run& run);
std::string baseline_words(const verdict::Run& run);

// One entry after another in their order, as many as go into the bytes, and a sentence on those that do not.
std::string fitting(const std::vector<std::string>& entries, std::string_view noun, size_t most_bytes);

// Deceleration over effort of every scenario in which feel is read; empty without one.
std::string feel_section(const verdict::Run& run, const HtmlExtras& extras);

// What came out of all replays of scenarios with replays beside them; empty without one.
std::string repetitions_section(const verdict::Run& run, const HtmlExtras& extras);

// Per stint temperatures over its laps, its first and last lap, a table with one row a lap; empty without
// one.
std::string stints_section(const verdict::Run& run, const HtmlExtras& extras);

// What is fitted, and where recordings say otherwise; empty where the vehicle does not say.
std::string build_sheet_section(const verdict::Run& run);

// Verdicts as a table of scenarios by measures.
std::string map_section(const verdict::Run& run);

// Filters and every scenario with its measures and figure. At most about `most_bytes`, of which tables get as
// many as they need and figures the rest.
std::string scenarios_section(const verdict::Run& run, const HtmlExtras& extras, size_t most_bytes);

// Ideal distribution and adhesion utilization, as drawings and a table.
std::string balance_section(const HtmlExtras& extras);

}  // namespace brakeward::report
