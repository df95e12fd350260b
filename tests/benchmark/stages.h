// The stages of a tick, each timed alone on a state that goes on, for one instruction set.
#pragma once

#include <vector>

#include "replay/engine.h"

namespace brakeward::benchmark {

// Registers `NAME/STAGE` for every stage, `NAME/tick` for all of them and `NAME/fma` for independent fused
// multiply-adds, the reference. Items are replays: an engine of eight lanes counts eight a call. The jobs
// must outlive the run.
void add_stages_double(const replay::BatchJob& job);
void add_stages_v3(const replay::BatchJob& job);
void add_stages_v4(const replay::BatchJob& job);

}  // namespace brakeward::benchmark
