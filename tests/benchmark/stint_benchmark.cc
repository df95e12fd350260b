// How long a stint of an hour takes, scalar on one core: compiled and replayed, and replayed alone. CPU time.
#include <benchmark/benchmark.h>

#include <cstdio>
#include <cstdlib>

#include "benchmark/machine.h"
#include "gate/stint.h"

namespace brakeward::benchmark {
namespace {

constexpr const char* kStint = "corrie_stint";

gate::Session open() {
  gate::Options options;
  options.library = BRAKEWARD_SOURCE_DIR "/scenarios/sorrel";
  options.calibration = options.library / "calibrations/released.textproto";
  options.tier = verdict::Tier::kEndurance;
  auto session = gate::open_session(options);
  if (!session.ok()) {
    std::printf("%s\n", std::string(session.status().message()).c_str());
    std::exit(1);
  }
  return *std::move(session);
}

gate::CompiledStint compiled(const gate::Session& session) {
  gate::Compiler compiler(session);
  for (const auto* stint : gate::stints_of(session))
    if (stint->message.name() == kStint)
      return gate::compile_stint(session, *stint, session.candidate.message, compiler);
  std::printf("there is no stint %s\n", kStint);
  std::exit(1);
}

double replayed_s(const gate::CompiledStint& stint) {
  const replay::StintPlan* plan = &stint.plan;
  replay::StintOptions options;
  options.threads = 1;
  std::vector<std::vector<replay::LegFolds>> folds;
  if (!replay::run_stints({&plan, 1}, options, folds).ok()) std::exit(1);
  double seconds = 0;
  for (size_t i = 0; i < folds.front().size(); ++i)
    seconds +=
        folds.front()[i].folds.finish_tick * stint.plan.plans[stint.plan.legs[i].plan].structure.plant.tick_s;
  return seconds;
}

void report(::benchmark::State& state, double seconds) {
  state.counters["driven_min"] = seconds / 60;
  state.counters["times_real"] =
      ::benchmark::Counter(seconds, ::benchmark::Counter::kIsIterationInvariantRate);
}

void replay_stint(::benchmark::State& state) {
  const gate::Session session = open();
  const gate::CompiledStint stint = compiled(session);
  double seconds = 0;
  for ([[maybe_unused]] auto _ : state) seconds = replayed_s(stint);
  report(state, seconds);
}

void compile_and_replay_stint(::benchmark::State& state) {
  const gate::Session session = open();
  double seconds = 0;
  for ([[maybe_unused]] auto _ : state) seconds = replayed_s(compiled(session));
  report(state, seconds);
}

BENCHMARK(replay_stint)->Unit(::benchmark::kMillisecond)->Repetitions(5)->ReportAggregatesOnly();
BENCHMARK(compile_and_replay_stint)->Unit(::benchmark::kMillisecond)->Repetitions(5)->ReportAggregatesOnly();

}  // namespace
}  // namespace brakeward::benchmark

int main(int argc, char** argv) {
  brakeward::benchmark::print_machine();
  ::benchmark::Initialize(&argc, argv);
  ::benchmark::RunSpecifiedBenchmarks();
  return 0;
}
