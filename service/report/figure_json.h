// Figures as the data the report's script draws. Internal to the room.
#pragma once

#include <string>

#include "report/figure.h"
#include "verdict/run.h"

namespace brakeward::report {

// One JSON object. A list of numbers is told in whole multiples of its `step`, each as the difference from
// the one before it, null for a value that is not there; lines may end before the time does. The crossings of
// the response come from the delays in `result`.
std::string figure_json(const Figure& figure, const verdict::ScenarioResult& result);

}  // namespace brakeward::report
