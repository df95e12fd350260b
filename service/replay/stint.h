// Runs stints: legs one after another, each beginning with the brakes, actuators and controller the one
// before left behind. Scalar, because a leg needs the one before it; stints run beside one another on
// threads.
#pragma once

#include <atomic>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "measure/stint_folds.h"
#include "replay/plan.h"

namespace brakeward::replay {

// One leg: a plan of the stint, driven a little differently.
struct StintLeg {
  size_t plan = 0;                                    // position in StintPlan::plans
  int lap = 1;                                        // counted from 1
  double request_factor = 1;                          // on travel and force
  double speed_factor = 1;                            // on the speed at the start and the speeds regained
  double resting_travel = 0;                          // m, at which the hand holds its control at least
  double last_tick = -1;                              // instead of the plan's, where not negative
  double mass = 0, static_front = 0, cog_height = 0;  // kg, 1 and m: the car as it is loaded
  double ambient = 0;                                 // degC
};

struct StintPlan {
  std::string name;
  std::vector<ReplayPlan> plans;
  std::vector<StintLeg> legs;  // one at least
  int laps = 1;
};

struct LegFolds {
  measure::Folds<double> folds;
  measure::StintFolds<double> stint;
};

struct StintOptions {
  int threads = 0;                            // 0: one per core
  const std::atomic<bool>* cancel = nullptr;  // looked at every few ms
  // Laps of a stint (position) that are done; called from worker threads, one at a time.
  std::function<void(size_t stint, int laps)> lap;
  // A stint (position) whose folds are there; likewise.
  std::function<void(size_t stint)> finished;
};

// Folds of every leg of every stint, in order; a stint ends early, with fewer of them, with the leg that
// turned non-finite. The same bits for any thread count. Cancelled when the flag was raised before the end.
absl::Status run_stints(std::span<const StintPlan* const> stints, const StintOptions& options,
                        std::vector<std::vector<LegFolds>>& folds);

// One leg as a plan of its own, without what the legs before left behind.
ReplayPlan plan_of(const StintPlan& stint, const StintLeg& leg);

}  // namespace brakeward::replay
