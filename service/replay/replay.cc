#include "replay/replay.h"

#include <algorithm>
#include <mutex>
#include <numeric>

#include "replay/engine.h"
#include "replay/machine.h"
#include "replay/workers.h"
#include "signal/observables.h"

namespace brakeward::replay {
namespace {

// Nothing tells the left wheels from the right ones: no road, no brake and no differential that could.
bool sides_alike(const ReplayPlan& plan) {
  const plant::PlantStructure& st = plan.structure.plant;
  const auto& friction = plan.params.plant.road.friction;
  return !(st.lateral || st.bumps || st.wheels_apart || st.front_locks || st.rear_locks) &&
         friction[0] == friction[1];
}

// Plans may share a batch when they agree on what kernels branch on; unused curve segments are zero, so their
// counts need not agree.
bool share_batch(const ReplayPlan& one, const ReplayPlan& other) {
  const Structure &a = one.structure, &b = other.structure;
  const plant::PlantChoices &plant = a.plant, &other_plant = b.plant;
  const control::ControlChoices &control = a.control, &other_control = b.control;
  const driver::DriverChoices &driver = a.driver, &other_driver = b.driver;
  return plant == other_plant && control == other_control && driver == other_driver && a.fault == b.fault &&
         a.feel == b.feel && sides_alike(one) == sides_alike(other);
}

void widen(Structure& s, const Structure& other) {
  const auto grow = [](int& mine, int theirs) { mine = std::max(mine, theirs); };
  grow(s.plant.friction_segments, other.plant.friction_segments);
  grow(s.plant.grade_segments, other.plant.grade_segments);
  grow(s.plant.pad_segments, other.plant.pad_segments);
  grow(s.plant.banking_segments, other.plant.banking_segments);
  grow(s.plant.vertical_segments, other.plant.vertical_segments);
  grow(s.plant.path_segments, other.plant.path_segments);
  grow(s.plant.bump_segments, other.plant.bump_segments);
  grow(s.plant.regeneration_segments, other.plant.regeneration_segments);
  grow(s.plant.pad_pressure_segments, other.plant.pad_pressure_segments);
  grow(s.plant.pad_speed_segments, other.plant.pad_speed_segments);
  grow(s.plant.wear_segments, other.plant.wear_segments);
  grow(s.plant.simulator_segments, other.plant.simulator_segments);
  grow(s.control.hand_segments, other.control.hand_segments);
  grow(s.control.pedal_segments, other.control.pedal_segments);
  grow(s.control.speed_trim_segments, other.control.speed_trim_segments);
  grow(s.control.demand_trim_segments, other.control.demand_trim_segments);
  grow(s.driver.steering_segments, other.driver.steering_segments);
}

// Batches of plans that share structure, the longest first, so that the lanes of a batch end about together.
std::vector<std::vector<size_t>> batches_of(std::span<const ReplayPlan* const> plans) {
  std::vector<size_t> order(plans.size());
  std::iota(order.begin(), order.end(), size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](size_t a, size_t b) {
    return plans[a]->params.last_tick > plans[b]->params.last_tick;
  });
  std::vector<std::vector<size_t>> full, open;
  for (size_t i : order) {
    auto it = std::find_if(open.begin(), open.end(), [&](const std::vector<size_t>& batch) {
      return share_batch(*plans[batch.front()], *plans[i]);
    });
    if (it == open.end()) it = open.insert(open.end(), std::vector<size_t>());
    it->push_back(i);
    if (it->size() == kLanes) {
      full.push_back(std::move(*it));
      open.erase(it);
    }
  }
  full.insert(full.end(), open.begin(), open.end());
  return full;
}

void run_batch(std::span<const ReplayPlan* const> plans, const std::vector<size_t>& batch,
               const Options& options, std::vector<measure::Folds<double>>& folds) {
  BatchJob job{};
  if (options.cancel) job.stop = is_raised, job.stop_context = options.cancel;
  job.lanes = static_cast<int>(batch.size());
  for (size_t k = 0; k < batch.size(); ++k) {
    const ReplayPlan& plan = *plans[batch[k]];
    if (k == 0) job.structure = structure_of(plan);
    widen(job.structure, plan.structure);
    job.lane[k] = lane_of(plan, &folds[batch[k]], nullptr);
  }
  static const bool v4 = has_v4();
  if (options.engine == Engine::kScalar || job.lanes == 1)
    run_double(job);
  else if (v4)
    run_v4(job);
  else
    run_v3(job);
}

}  // namespace

bool has_v4() {
  __builtin_cpu_init();
  return __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") &&
         __builtin_cpu_supports("avx512cd") && __builtin_cpu_supports("avx512dq") &&
         __builtin_cpu_supports("avx512vl");
}

Structure structure_of(const ReplayPlan& plan) {
  Structure out = plan.structure;
  out.plant.sides_alike = sides_alike(plan);
  return out;
}

LaneJob lane_of(const ReplayPlan& plan, measure::Folds<double>* folds, double* trace) {
  LaneJob lane{};
  lane.params = &plan.params;
  const Input& input = plan.shared_input ? *plan.shared_input : plan.input;
  for (int c = 0; c < kInputChannels; ++c) lane.input[c] = input[static_cast<size_t>(c)].data();
  lane.samples = static_cast<long>(input[0].size());
  lane.folds = folds;
  lane.trace = trace;
  return lane;
}

absl::Status check_machine() {
  __builtin_cpu_init();
  if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") && __builtin_cpu_supports("bmi2"))
    return absl::OkStatus();
  return absl::FailedPreconditionError(
      "this machine's processor lacks AVX2, FMA or BMI2; the replay engine needs the x86-64-v3 level. Run it "
      "on a "
      "processor that has them (most x86-64 servers and desktops since about 2015)");
}

absl::Status run(std::span<const ReplayPlan* const> plans, const Options& options,
                 std::vector<measure::Folds<double>>& folds) {
  if (absl::Status machine = check_machine(); !machine.ok()) return machine;
  folds.assign(plans.size(), {});
  const auto batches = batches_of(plans);
  std::atomic<size_t> next{0};
  std::mutex reporting;
  const auto cancelled = [&] { return is_raised(options.cancel); };
  const auto work = [&] {
    for (size_t i = next++; i < batches.size() && !cancelled(); i = next++) {
      run_batch(plans, batches[i], options, folds);
      if (cancelled() || !options.finished) continue;
      const std::lock_guard lock(reporting);
      options.finished(batches[i]);
    }
  };
  work_together(options.threads, batches.size(), work);
  return cancelled() ? absl::CancelledError("the run was cancelled") : absl::OkStatus();
}

Trace trace(const ReplayPlan& plan) {
  Trace out;
  measure::Folds<double> folds{};
  out.rows.resize(static_cast<size_t>(plan.params.last_tick) * signal::kObservableCount);
  BatchJob job{};
  job.structure = structure_of(plan);
  job.lanes = 1;
  job.lane[0] = lane_of(plan, &folds, out.rows.data());
  run_double(job);
  out.ticks = static_cast<long>(folds.finish_tick);
  out.rows.resize(static_cast<size_t>(out.ticks) * signal::kObservableCount);
  return out;
}

}  // namespace brakeward::replay
