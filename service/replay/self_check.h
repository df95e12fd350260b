// A fixed batch of replays through every engine: the digests say whether this build computes the same bits.
#pragma once

#include <cstdint>
#include <vector>

#include "replay/plan.h"

namespace brakeward::replay {

// Invented stops that differ in friction, request and faults, so that every kernel has work to do: a batch of
// a plain car on a straight road, then one with all that a car and a road may have besides.
std::vector<ReplayPlan> fixed_plans();

struct EngineDigest {
  const char* name;
  bool ran;
  std::uint64_t digest;  // FNV-1a over the bits of all folds
};

struct SelfCheck {
  std::vector<EngineDigest> engines;
  bool agree = false;  // every engine that ran gave the same digest
};

SelfCheck self_check();

}  // namespace brakeward::replay
