// What this processor can run, and how a plan becomes a batch and a lane. Internal to the room and its tests.
#pragma once

#include "replay/engine.h"

namespace brakeward::replay {

bool has_v4();

// The plan's structure and whether its sides are alike, for a batch of its own.
Structure structure_of(const ReplayPlan& plan);

LaneJob lane_of(const ReplayPlan& plan, measure::Folds<double>* folds, double* trace);

}  // namespace brakeward::replay
