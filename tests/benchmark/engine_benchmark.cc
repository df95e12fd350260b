// How fast the engine replays: scalar and eight lanes in alternation within one run, so that a busy moment
// hits both. CPU time of the thread; the answers are compared bit for bit before anything is timed.
#include <algorithm>
#include <cstdio>
#include <cstring>
#include <vector>

#include "benchmark/integrator.h"
#include "benchmark/machine.h"
#include "benchmark/sample_batch.h"
#include "replay/engine.h"
#include "replay/machine.h"
#include "replay/replay.h"

namespace brakeward::benchmark {
namespace {

constexpr int kRounds = 31;
constexpr int kRepeats = 3;  // of the lane batch within a round

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

bool same_answers(SampleBatch& batch, const std::vector<Engine>& engines) {
  engines[0].run(batch.job());
  const std::vector<measure::Folds<double>> first = batch.folds();
  for (const Engine& e : engines) {
    e.run(batch.job());
    for (int k = 0; k < replay::kLanes; ++k) {
      const auto i = static_cast<size_t>(k);
      // Bits are what is compared. NOLINTNEXTLINE(bugprone-suspicious-memory-comparison)
      if (std::memcmp(&first[i], &batch.folds()[i], sizeof(first[i])) != 0) {
        std::printf("WRONG     %s differs from %s in lane %d; nothing is timed\n", e.name, engines[0].name,
                    k);
        return false;
      }
    }
  }
  return true;
}

bool time_engines(int substeps, std::vector<Engine> engines) {
  SampleBatch batch(substeps);
  if (!same_answers(batch, engines)) return false;
  const replay::BatchJob& job = batch.job();
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

void print_operations() {
  const PerTick o = SampleBatch(1).operations_a_tick();
  std::printf(
      "work      %.0f operations a tick (%.0f flops): %.0f add, %.0f mul, %.0f fma, %.1f div, %.1f sqrt, "
      "%.0f select, %.0f compare, %.0f min or max\n",
      o.total, o.flops, o.add, o.mul, o.fma, o.div, o.sqrt, o.select, o.compare, o.minmax);
}

int main_benchmark() {
  print_machine();
  if (const absl::Status s = replay::check_machine(); !s.ok()) {
    std::printf("%s\n", std::string(s.message()).c_str());
    return 1;
  }
  print_operations();
  std::vector<Engine> engines = {{"scalar", replay::run_double, {}}, {"8 lanes v3", replay::run_v3, {}}};
  if (replay::has_v4())
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
