// The demo libraries' own scenarios, not only invented plans, give the same bits from every engine and thread
// count.
#include <gtest/gtest.h>

#include <cstring>
#include <filesystem>

#include "compile/compile.h"
#include "replay/replay.h"
#include "scenario/library.h"

namespace brakeward::demo {
namespace {

using Folds = std::vector<measure::Folds<double>>;

class Engines : public testing::TestWithParam<const char*> {};

Folds folds_of(const std::vector<compile::CompiledScenario>& compiled, replay::Engine engine, int threads) {
  std::vector<const replay::ReplayPlan*> plans;
  for (const auto& c : compiled) plans.push_back(&c.plan);
  replay::Options options;
  options.engine = engine;
  options.threads = threads;
  Folds folds;
  const absl::Status status = replay::run(plans, options, folds);
  EXPECT_TRUE(status.ok()) << status;
  return folds;
}

bool same_bits(const measure::Folds<double>& a, const measure::Folds<double>& b) {
  return std::memcmp(&a, &b, sizeof a) == 0;
}

TEST_P(Engines, AgreeOnEveryScenario) {
  document::Faults faults;
  const auto folder = std::filesystem::path(BRAKEWARD_SOURCE_DIR) / "scenarios" / GetParam();
  const scenario::Library library = scenario::load_library(folder, {}, faults);
  ASSERT_TRUE(faults.empty()) << faults.render();
  const v1::Calibration& released = library.calibrations.at(0).message;
  std::vector<compile::CompiledScenario> compiled;
  for (const auto& s : library.scenarios) {
    const auto* recording = library.recording_named(s.message.recorded().recording());
    auto c = compile::compile(
        {library.vehicle.message, released, released, s.message, recording ? &recording->log : nullptr});
    ASSERT_TRUE(c.ok()) << c.status();
    compiled.push_back(*std::move(c));
  }
  const Folds scalar = folds_of(compiled, replay::Engine::kScalar, 1);
  for (int threads : {1, 3}) {
    const Folds lanes = folds_of(compiled, replay::Engine::kLanes, threads);
    ASSERT_EQ(lanes.size(), scalar.size());
    for (size_t i = 0; i < scalar.size(); ++i)
      EXPECT_TRUE(same_bits(scalar[i], lanes[i]))
          << library.scenarios[i].message.name() << ", " << threads << " threads";
  }
}

INSTANTIATE_TEST_SUITE_P(Cars, Engines, testing::Values("sorrel", "bracken"),
                         [](const auto& info) { return std::string(info.param); });

}  // namespace
}  // namespace brakeward::demo
