// Runs plans: groups them into batches that share structure, spreads batches over threads, traces on demand.
#pragma once

#include <atomic>
#include <functional>
#include <span>
#include <vector>

#include "absl/status/status.h"
#include "replay/plan.h"

namespace brakeward::replay {

// FailedPrecondition on a machine below x86-64-v3, in a sentence that says what is missing.
absl::Status check_machine();

enum class Engine { kScalar, kLanes };

struct Options {
  Engine engine = Engine::kLanes;
  int threads = 0;                            // 0: one per core
  const std::atomic<bool>* cancel = nullptr;  // looked at every few ms
  // Plans (positions) whose folds are now there; called from worker threads, one at a time.
  std::function<void(const std::vector<size_t>& plans)> finished;
};

// Folds of every plan, in order. The same bits for any engine, thread count and order of plans.
// Cancelled when the flag was raised before the end.
absl::Status run(std::span<const ReplayPlan* const> plans, const Options& options,
                 std::vector<measure::Folds<double>>& folds);

// Every observable at every tick (signal/observables.h), from a scalar run: the same bits as the folds.
struct Trace {
  std::vector<double> rows;  // signal::kObservableCount a tick
  long ticks = 0;            // rows that were reached
};
Trace trace(const ReplayPlan& plan);

}  // namespace brakeward::replay
