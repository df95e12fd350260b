// Invented traces of a stop: a step of the request, a pressure that follows it, a car that slows.
#pragma once

#include <string>

#include "report/figure.h"

namespace brakeward::report {

// `lag_s` is the time constant of the pressure behind the request at 0.5 s.
std::vector<double> stop_rows(double seconds, double lag_s);

// Of 3 s for the candidate and 2.5 s for the baseline, with a recorded speed of 2 s and a fault.
ScenarioTraces sample_traces(const std::string& scenario);

}  // namespace brakeward::report
