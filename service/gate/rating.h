// How well a replay reproduces the channels of its recording. Internal to the gate.
#pragma once

#include <string>
#include <vector>

#include "gate/session.h"
#include "verdict/run.h"

namespace brakeward::gate {

// Longer stretches are thinned to about as many samples before they are rated.
inline constexpr size_t kMostRatedSamples = 1000;

// Deceleration, front circuit pressure and speed, those that were recorded, from a scalar re-run of the plan.
// Compared where both the recording, above 1 m/s, and the replay are there; a standstill in between is left
// out. Deceleration is smoothed alike in both (compile::kRecordedSmoothing). Errors are those of every tick.
std::vector<verdict::ChannelRating> rate_channels(const Session& session, const v1::Scenario& scenario,
                                                  const compile::CompiledScenario& replayed);

// Why the ratings do not let the scenario judge, and what would settle it; empty where they do. `fitted`
// tells whether it is known which calibration was on the car.
std::string rating_fault(const v1::ToleranceSet& tolerances, const v1::Scenario& scenario, bool fitted,
                         const std::vector<verdict::ChannelRating>& channels);

// The speed of the scenario's recording at the ticks of a trace, m/s; shorter where the recording ends, empty
// where none was logged.
std::vector<double> recorded_speed(const Session& session, const v1::Scenario& scenario, double tick_s,
                                   size_t ticks);

}  // namespace brakeward::gate
