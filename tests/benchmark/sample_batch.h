// Eight different stops of equal length: other speeds, grips and requests, every tick of them replayed.
#pragma once

#include <vector>

#include "replay/engine.h"
#include "replay/plan.h"

namespace brakeward::benchmark {

inline constexpr int kTicks = 6000;

// Operations of one replay over its ticks; an fma is two flops.
struct PerTick {
  double total, flops, add, mul, fma, div, sqrt, select, compare, minmax;
};

class SampleBatch {
 public:
  explicit SampleBatch(int substeps);
  SampleBatch(const SampleBatch&) = delete;
  SampleBatch& operator=(const SampleBatch&) = delete;

  // Writes into folds().
  const replay::BatchJob& job() const { return job_; }
  const std::vector<measure::Folds<double>>& folds() const { return folds_; }
  // Replays the first stop on the scalar that counts.
  PerTick operations_a_tick() const;

 private:
  std::vector<replay::ReplayPlan> plans_;
  std::vector<measure::Folds<double>> folds_;
  replay::BatchJob job_{};
};

}  // namespace brakeward::benchmark
