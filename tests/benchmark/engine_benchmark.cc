// How fast the engine replays: scalar and eight lanes in alternation within one run, so that a busy moment
// hits both. CPU time of the thread; the answers are compared bit for bit before anything is timed.
#include <algorithm>
#include <cstdio>
#include <cstring>
#include <vector>

#include "benchmark/count.h"
#include "benchmark/integrator.h"
#include "benchmark/machine.h"
#include "reference/sample_plan.h"
#include "replay/engine.h"
#include "replay/replay.h"

namespace brakeward::benchmark {
namespace {

constexpr int kTicks = 6000;
constexpr int kRounds = 31;
constexpr int kRepeats = 3;  // of the lane batch within a round

// Eight different stops of equal length: other speeds, grips and requests, every tick of them replayed.
std::vector<replay::ReplayPlan> lanes_of_plans(int substeps) {
  std::vector<replay::ReplayPlan> plans;
  for (int k = 0; k < replay::kLanes; ++k) {
    reference::SampleOptions o;
    o.substeps = substeps;
    o.start_speed = 30 + 3 * k;
    o.travel = 0.026 + 0.001 * k;
    o.road_friction = 1.0 - 0.05 * k;
    o.length_s = kTicks * o.tick_s;
    o.ends_standing = false;
    plans.push_back(reference::sample_plan(o));
  }
  return plans;
}

replay::BatchJob batch_of(const std::vector<replay::ReplayPlan>& plans,
                          std::vector<measure::Folds<double>>& folds) {
  replay::BatchJob job{};
  job.structure = plans[0].structure;
  job.lanes = replay::kLanes;
  for (int k = 0; k < replay::kLanes; ++k) {
    const auto& plan = plans[static_cast<size_t>(k)];
    replay::LaneJob& lane = job.lane[k];
    lane.params = &plan.params;
    for (int c = 0; c < replay::kInputChannels; ++c) lane.input[c] = plan.input[c].data();
    lane.samples = static_cast<long>(plan.input[0].size());
    lane.folds = &folds[static_cast<size_t>(k)];
  }
  return job;
}

using Run = void (*)(const replay::BatchJob&);

struct Engine {
  const char* name;
  Run run;
  std::vector<double> seconds;  // one a round, for all eight replays
};

double median(std::vector<double> x) {
  std::sort(x.begin(), x.end());
  return x[x.size() / 2];
}

bool same_answers(const std::vector<replay::ReplayPlan>& plans, const std::vector<Engine>& engines) {
  std::vector<measure::Folds<double>> first(replay::kLanes), other(replay::kLanes);
  engines[0].run(batch_of(plans, first));
  for (const Engine& e : engines) {
    e.run(batch_of(plans, other));
    for (int k = 0; k < replay::kLanes; ++k)
      // Bits are what is compared. NOLINTNEXTLINE(bugprone-suspicious-memory-comparison)
      if (std::memcmp(&first[static_cast<size_t>(k)], &other[static_cast<size_t>(k)], sizeof(first[0])) !=
          0) {
        std::printf("WRONG     %s differs from %s in lane %d; nothing is timed\n", e.name, engines[0].name,
                    k);
        return false;
      }
  }
  return true;
}

bool time_engines(int substeps, std::vector<Engine> engines) {
  const auto plans = lanes_of_plans(substeps);
  if (!same_answers(plans, engines)) return false;
  std::vector<measure::Folds<double>> folds(replay::kLanes);
  const replay::BatchJob job = batch_of(plans, folds);
  for (int round = 0; round < kRounds; ++round)
    for (Engine& e : engines) {
      const double start = thread_seconds();
      for (int i = 0; i < kRepeats; ++i) e.run(job);
      e.seconds.push_back((thread_seconds() - start) / kRepeats);
    }
  const double tick_s = job.structure.plant.tick_s, simulated = replay::kLanes * kTicks * tick_s;
  const double scalar = median(engines[0].seconds);
  for (Engine& e : engines) {
    const double mid = median(e.seconds);
    const double best = *std::min_element(e.seconds.begin(), e.seconds.end());
    std::printf(
        "%-10s %d substep%s  %7.1f ns a tick and replay (best %6.1f)  %8.0f x real time a core  %5.2f x "
        "scalar\n",
        e.name, substeps, substeps == 1 ? " " : "s", mid / (replay::kLanes * kTicks) * 1e9,
        best / (replay::kLanes * kTicks) * 1e9, simulated / mid, scalar / mid);
  }
  return true;
}

void count_operations() {
  const auto plans = lanes_of_plans(1);
  std::vector<measure::Folds<double>> folds(replay::kLanes);
  replay::BatchJob job = batch_of(plans, folds);
  job.lanes = 1;
  reset_operations();
  replay::run_counting(job);
  const Operations o = counted_operations();
  const auto a_tick = [](long long n) { return static_cast<double>(n) / kTicks; };
  std::printf(
      "work      %.0f operations a tick (%.0f flops): %.0f add, %.0f mul, %.0f fma, %.1f div, %.1f sqrt, "
      "%.0f select, %.0f compare, %.0f min or max\n",
      a_tick(o.total), a_tick(o.flops), a_tick(o.add), a_tick(o.mul), a_tick(o.fma), a_tick(o.div),
      a_tick(o.sqrt), a_tick(o.select), a_tick(o.compare), a_tick(o.minmax));
}

int main_benchmark() {
  print_machine();
  if (const absl::Status s = replay::check_machine(); !s.ok()) {
    std::printf("%s\n", std::string(s.message()).c_str());
    return 1;
  }
  count_operations();
  std::vector<Engine> engines = {{"scalar", replay::run_double, {}}, {"8 lanes v3", replay::run_v3, {}}};
  if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512dq") &&
      __builtin_cpu_supports("avx512vl") && __builtin_cpu_supports("avx512bw"))
    engines.push_back({"8 lanes v4", replay::run_v4, {}});
  else
    std::printf("skipped   8 lanes v4: this processor lacks AVX-512\n");
  for (int substeps : {1, 2, 4})
    if (!time_engines(substeps, engines)) return 1;
  return compare_with_integrator() ? 0 : 1;
}

}  // namespace
}  // namespace brakeward::benchmark

int main() {
  return brakeward::benchmark::main_benchmark();
}
