// A run and a trace as data to export.
#pragma once

#include "report/data.h"
#include "verdict/run.h"

namespace brakeward::report {

// One row a scenario and measure, in library order; a scenario without measures has one row all the same.
Data measures_data(const verdict::Run& run);

// A column an observable, in the order of signal/observables.h, one row a tick; `rows` as replay::Trace has
// them. `head` says what was replayed.
Data trace_data(const verdict::Run& head, const verdict::ScenarioResult& result,
                const std::vector<double>& rows);

}  // namespace brakeward::report
