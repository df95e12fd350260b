// The drift of a season as a table: for a terminal, and for a merge request.
#pragma once

#include <string>

#include "report/terminal.h"
#include "verdict/drift.h"

namespace brakeward::report {

// A series that passes and used less of its drift tolerance is counted, not shown, unless all are wanted.
inline constexpr double kDriftShown = 0.5;

// One row a series, gravest first: the step of every build and the sum in percent of the tolerance, positive
// for the worse or signed where either way counts, and the share of the drift tolerance; below a row that did
// not pass its reason. A step beyond the tolerance is not hidden by rounding.
std::string render_drift(const verdict::Drift& drift, bool all, const TerminalOptions& options = {});
std::string render_drift_markdown(const verdict::Drift& drift, bool all);

// One HTML file that needs nothing else, under kMostHtmlBytes: steps and their sum over the builds of every
// series that is shown, and a table of all. All text is escaped, and the only script that may run is the
// embedded one, by its hash.
std::string render_drift_html(const verdict::Drift& drift);

}  // namespace brakeward::report
