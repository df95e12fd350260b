// The drift of a season as rows of text, the same in every view that shows a table. Internal to the room.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "verdict/drift.h"

namespace brakeward::report {

// Gravest verdict first, then what used most of its drift tolerance. Pointers into `drift`.
std::vector<const verdict::DriftSeries*> ordered_series(const verdict::Drift& drift);

// Whether a view shows a series before it is asked for all.
bool is_shown(const verdict::DriftSeries& series);

// The allowed drift in tolerances for one change.
double drift_in_tolerances(const verdict::DriftSeries& series);

// Heads and cells: scenario, measure, tolerance, a step a build from the second on, sum, allowed drift, used,
// verdict. Clean text, not escaped.
std::vector<std::string> drift_heads(const verdict::Drift& drift);
std::vector<std::string> drift_cells(const verdict::DriftSeries& series, size_t builds);

// "12 measures over 6 builds: 1 fail, 11 pass; ..."
std::string drift_tally(const verdict::Drift& drift);

// What the percentages are.
inline constexpr std::string_view kDriftLegend =
    "Per build the change from the build before, in percent of the tolerance for one change: positive for "
    "the "
    "worse, or with its sign where either way counts. The sum of a measure of which one way is worse never "
    "falls "
    "below zero: an improvement is no credit for what is lost after it.";

}  // namespace brakeward::report
