#include "benchmark/sample_batch.h"

#include "benchmark/count.h"
#include "reference/sample_plan.h"
#include "replay/machine.h"

namespace brakeward::benchmark {

SampleBatch::SampleBatch(int substeps) : folds_(replay::kLanes) {
  for (int k = 0; k < replay::kLanes; ++k) {
    reference::SampleOptions o;
    o.substeps = substeps;
    o.start_speed = 30 + 3 * k;
    o.travel = 0.026 + 0.001 * k;
    o.road_friction = 1.0 - 0.05 * k;
    o.length_s = kTicks * o.tick_s;
    o.ends_standing = false;
    plans_.push_back(reference::sample_plan(o));
  }
  job_.structure = replay::structure_of(plans_[0]);
  job_.lanes = replay::kLanes;
  for (int k = 0; k < replay::kLanes; ++k) {
    const auto i = static_cast<size_t>(k);
    job_.lane[k] = replay::lane_of(plans_[i], &folds_[i], nullptr);
  }
}

PerTick SampleBatch::operations_a_tick() const {
  std::vector<measure::Folds<double>> folds(1);
  replay::BatchJob alone{};
  alone.structure = job_.structure;
  alone.lanes = 1;
  alone.lane[0] = replay::lane_of(plans_[0], folds.data(), nullptr);
  reset_operations();
  replay::run_counting(alone);
  const Operations o = counted_operations();
  const auto a_tick = [](long long n) { return static_cast<double>(n) / kTicks; };
  return {a_tick(o.total), a_tick(o.flops), a_tick(o.add),    a_tick(o.mul),     a_tick(o.fma),
          a_tick(o.div),   a_tick(o.sqrt),  a_tick(o.select), a_tick(o.compare), a_tick(o.minmax)};
}

}  // namespace brakeward::benchmark
