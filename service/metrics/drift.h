// Drift of one event build from the oldest one. Internal to the room.
#pragma once

#include <map>
#include <string>

#include "verdict/run.h"

namespace brakeward::metrics {

// Whether the values of the two may be subtracted: same vehicle, same numerics version.
bool comparable(const verdict::Run& build, const verdict::Run& anchor);

// By measure, over the scenarios of the same name in both: the largest change for the worse from the anchor's
// value, divided by the change allowed to the build; result_metrics.h says which scenarios count. Where
// nothing was allowed a change for the worse is verdict::kNothingAllowed, any other 0.
std::map<std::string, double> drift(const verdict::Run& build, const verdict::Run& anchor);

}  // namespace brakeward::metrics
