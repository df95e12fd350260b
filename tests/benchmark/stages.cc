// What each stage of a tick costs, and what share of the processor's fused multiply-adds a tick reaches; both
// measured in one run.
#include "benchmark/stages.h"

#include <benchmark/benchmark.h>

#include <cstdio>
#include <map>
#include <string>

#include "benchmark/count.h"
#include "benchmark/machine.h"
#include "benchmark/sample_batch.h"
#include "replay/machine.h"
#include "replay/replay.h"

namespace brakeward::benchmark {
namespace {

constexpr const char* kEngines[] = {"scalar", "8_lanes_v3", "8_lanes_v4"};

// Prints as usual and keeps the rates.
class Keeper : public ::benchmark::ConsoleReporter {
 public:
  Keeper() : ConsoleReporter(OO_Tabular) {}

  void ReportRuns(const std::vector<Run>& runs) override {
    ConsoleReporter::ReportRuns(runs);
    for (const Run& run : runs)
      for (const auto& [name, counter] : run.counters)
        rate_[run.benchmark_name() + " " + name] = counter.value;
  }
  double rate(const std::string& engine, const char* stage, const char* counter) const {
    const auto it = rate_.find(engine + "/" + stage + " " + counter);
    return it == rate_.end() ? 0 : it->second;
  }

 private:
  std::map<std::string, double> rate_;
};

// Per lane and over scalar, then as a share of the peak.
void print_rates(const Keeper& kept, double flops_a_tick) {
  for (const char* stage : {"plant", "tick", "plant, sides apart", "tick, sides apart"}) {
    const double scalar = kept.rate("scalar", stage, "items_per_second");
    for (const char* engine : kEngines) {
      const double rate = kept.rate(engine, stage, "items_per_second");
      if (rate > 0)
        std::printf("%-12s %-20s %6.1f ns a replay, %.2f x scalar\n", engine, stage, 1e9 / rate,
                    scalar > 0 ? rate / scalar : 0);
    }
  }
  for (const char* engine : kEngines) {
    const double flops = flops_a_tick * kept.rate(engine, "tick", "items_per_second");
    const double peak = kept.rate(engine, "fma", "flops");
    if (flops > 0 && peak > 0)
      std::printf("%-12s a tick at %.2f of %.2f Gflop/s of fused multiply-adds: %.0f %%\n", engine,
                  1e-9 * flops, 1e-9 * peak, 100 * flops / peak);
  }
}

int main_stages(int argc, char** argv) {
  ::benchmark::Initialize(&argc, argv);
  if (::benchmark::ReportUnrecognizedArguments(argc, argv)) return 64;
  print_machine();
  if (const absl::Status s = replay::check_machine(); !s.ok()) {
    std::printf("%s\n", std::string(s.message()).c_str());
    return 1;
  }
  const SampleBatch batch(1);
  add_stages_double(batch.job());
  add_stages_v3(batch.job());
  if (replay::has_v4()) add_stages_v4(batch.job());
  Keeper kept;
  ::benchmark::RunSpecifiedBenchmarks(&kept);
  print_rates(kept, batch.operations_a_tick().flops);
  return 0;
}

}  // namespace
}  // namespace brakeward::benchmark

int main(int argc, char** argv) {
  return brakeward::benchmark::main_stages(argc, argv);
}
