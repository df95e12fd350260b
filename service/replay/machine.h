// What this processor can run, and how a plan becomes a lane. Internal to the room and its tests.
#pragma once

#include "replay/engine.h"

namespace brakeward::replay {

bool has_v4();

LaneJob lane_of(const ReplayPlan& plan, measure::Folds<double>* folds, double* trace);

}  // namespace brakeward::replay
