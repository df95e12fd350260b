// What holds for every demo library: its released calibration passes with every scenario conclusive and every
// recording reproduced, the harmless and the better candidate pass, and its README names every
// candidate_bad_*.
#include <gtest/gtest.h>

#include <filesystem>

#include "end_to_end/demo/demo_check.h"
#include "files.h"

namespace brakeward::demo {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

struct Car {
  const char* name;
  size_t scenarios, recorded, bad_candidates;
};

std::string name_of(const testing::TestParamInfo<Car>& info) {
  return info.param.name;
}

class Demo : public testing::TestWithParam<Car> {
 protected:
  Outcome check(const std::string& calibration) { return demo::check(GetParam().name, calibration); }
};

TEST_P(Demo, ReleasedPassesWithoutAnyChange) {
  const Outcome outcome = check("released");
  ASSERT_EQ(outcome.exit_code, 0);
  EXPECT_EQ(outcome.run.at("scenarios").size(), GetParam().scenarios);
  for (const json& scenario : outcome.run.at("scenarios")) {
    EXPECT_EQ(scenario.at("verdict"), "VERDICT_PASS") << scenario.at("scenario");
    for (const json& m : scenario.at("measures")) {
      EXPECT_NE(m.at("verdict"), "VERDICT_INCONCLUSIVE")
          << m.at("measure") << " in " << scenario.at("scenario");
      if (!m.contains("baseline") || !m.contains("value")) continue;
      EXPECT_EQ(m.at("value"), m.at("baseline")) << m.at("measure") << " in " << scenario.at("scenario");
    }
  }
}

// What the recordings are for: under the calibration that was on the car the model comes near enough to judge
// by, and not as near as a recording that was never made would.
TEST_P(Demo, ReplaysReproduceTheRecordings) {
  constexpr double kLongestDeparture_s = 0.3;  // as the gate allows
  const Outcome outcome = check("released");
  ASSERT_EQ(outcome.exit_code, 0);
  size_t compared = 0;
  for (const json& scenario : outcome.run.at("scenarios")) {
    if (!scenario.contains("reproduction")) continue;
    ++compared;
    const json& r = scenario.at("reproduction");
    EXPECT_LE(r.value("longest_departure_s", 0.0), kLongestDeparture_s) << scenario.at("scenario");
    EXPECT_GT(r.value("deceleration_rms_mps2", 0.0), 0)
        << "too good to be a recording: " << scenario.at("scenario");
  }
  EXPECT_EQ(compared, GetParam().recorded);
}

TEST_P(Demo, HarmlessPasses) {
  EXPECT_EQ(check("candidate_harmless").exit_code, 0);
}

TEST_P(Demo, BetterPasses) {
  EXPECT_EQ(check("candidate_better").exit_code, 0);
}

// The car's own tests hold the verdict of each: a new one has to be counted here and tested there.
TEST_P(Demo, EveryBadCandidateIsCountedAndInTheReadme) {
  const fs::path library = fs::path(BRAKEWARD_SOURCE_DIR) / "scenarios" / GetParam().name;
  const std::string readme = tests::read_file(library / "README.md");
  size_t seen = 0;
  for (const auto& entry : fs::directory_iterator(library / "calibrations")) {
    const std::string name = entry.path().stem();
    if (name.rfind("candidate_bad_", 0) != 0) continue;
    ++seen;
    EXPECT_NE(readme.find('`' + name.substr(std::string("candidate_").size()) + '`'), std::string::npos)
        << name;
  }
  EXPECT_EQ(seen, GetParam().bad_candidates);
}

INSTANTIATE_TEST_SUITE_P(Cars, Demo, testing::Values(Car{"sorrel", 42, 12, 14}, Car{"bracken", 41, 13, 17}),
                         name_of);

}  // namespace
}  // namespace brakeward::demo
