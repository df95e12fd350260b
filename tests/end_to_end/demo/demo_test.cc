// The demo library through the program: good candidates pass, each planted mistake fails, and the measure
// that fails hardest is the one an engineer would name for it.
#include <gtest/gtest.h>
#include <sys/wait.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>
#include <string>

namespace {

namespace fs = std::filesystem;
using nlohmann::json;

struct Outcome {
  int exit_code;
  json run;
};

Outcome check(const std::string& calibration) {
  const fs::path library = fs::path(BRAKEWARD_SOURCE_DIR) / "scenarios/sorrel";
  std::string folder = (fs::temp_directory_path() / "brakeward-demo-XXXXXX").string();
  EXPECT_NE(mkdtemp(folder.data()), nullptr);
  const fs::path out = fs::path(folder) / "run.json";
  const std::string command = std::string("'") + BRAKEWARD_PROGRAM + "' check --library '" +
                              library.string() + "' --calibration '" +
                              (library / "calibrations" / calibration).string() + ".textproto' --json '" +
                              out.string() + "' > /dev/null";
  const int status = std::system(command.c_str());
  std::ifstream in(out);
  Outcome outcome{WIFEXITED(status) ? WEXITSTATUS(status) : -1, json::parse(in, nullptr, false)};
  fs::remove_all(folder);
  return outcome;
}

// "measure in scenario" of everything that failed, and the measure that used most of its tolerance.
struct Failures {
  std::set<std::string> all;
  std::set<std::string> scenarios;
  std::string worst;
  double used = 0;
};

Failures failures_of(const json& run) {
  Failures out;
  for (const json& scenario : run.at("scenarios"))
    for (const json& measure : scenario.at("measures")) {
      if (measure.at("verdict") != "VERDICT_FAIL") continue;
      const std::string name = measure.at("measure"), where = scenario.at("scenario");
      out.all.insert(name + " in " + where);
      out.scenarios.insert(where);
      const double used = measure.value("tolerance_used", 0.0);
      if (used > out.used) out.worst = name, out.used = used;
    }
  return out;
}

double value_of(const json& run, const std::string& scenario, const std::string& measure, const char* which) {
  for (const json& s : run.at("scenarios"))
    if (s.at("scenario") == scenario)
      for (const json& m : s.at("measures"))
        if (m.at("measure") == measure) return m.at(which);
  ADD_FAILURE() << "no " << measure << " in " << scenario;
  return 0;
}

TEST(Demo, ReleasedPassesWithoutAnyChange) {
  const Outcome outcome = check("released");
  ASSERT_EQ(outcome.exit_code, 0);
  for (const json& scenario : outcome.run.at("scenarios"))
    for (const json& m : scenario.at("measures")) {
      if (!m.contains("baseline") || !m.contains("value")) continue;
      EXPECT_EQ(m.at("value"), m.at("baseline")) << m.at("measure") << " in " << scenario.at("scenario");
    }
}

// What the recordings are for: under the calibration that was on the car the model comes near enough to judge
// by.
TEST(Demo, ReplaysReproduceTheRecordings) {
  constexpr double kLongestDeparture_s = 0.3;  // as the gate allows
  const Outcome outcome = check("released");
  ASSERT_EQ(outcome.exit_code, 0);
  int compared = 0;
  for (const json& scenario : outcome.run.at("scenarios")) {
    if (!scenario.contains("reproduction")) continue;
    ++compared;
    const json& r = scenario.at("reproduction");
    EXPECT_LE(r.value("longest_departure_s", 0.0), kLongestDeparture_s) << scenario.at("scenario");
    EXPECT_GT(r.value("deceleration_rms_mps2", 0.0), 0)
        << "too good to be a recording: " << scenario.at("scenario");
  }
  EXPECT_EQ(compared, 12);
}

TEST(Demo, HarmlessPasses) {
  EXPECT_EQ(check("candidate_harmless").exit_code, 0);
}

TEST(Demo, BetterPassesWithShorterStops) {
  const Outcome outcome = check("candidate_better");
  ASSERT_EQ(outcome.exit_code, 0);
  for (const char* stop : {"corrie_dry_60", "saltmarsh_dry_100", "saltmarsh_dry_140"})
    EXPECT_LT(value_of(outcome.run, stop, "stopping_distance", "value"),
              value_of(outcome.run, stop, "stopping_distance", "baseline"))
        << stop;
}

TEST(Demo, SlowerRiseIsCaughtByADelay) {
  const Outcome outcome = check("candidate_bad_rise_rate");
  EXPECT_EQ(outcome.exit_code, 1);
  const Failures failed = failures_of(outcome.run);
  EXPECT_EQ(failed.worst, "delay_90_percent");
  EXPECT_TRUE(failed.all.count("delay_90_percent in step_hand"));
  EXPECT_TRUE(failed.all.count("delay_90_percent in millrace_stabs"));
}

TEST(Demo, LowerFrontShareIsCaughtByTheShare) {
  const Outcome outcome = check("candidate_bad_front_share");
  EXPECT_EQ(outcome.exit_code, 1);
  const Failures failed = failures_of(outcome.run);
  EXPECT_EQ(failed.worst, "front_share");
  EXPECT_TRUE(failed.all.count("front_share in saltmarsh_dry_100"));
}

// Stops get shorter under it: a harness that looks at distance alone would let it pass.
TEST(Demo, LargerSensorScaleIsCaughtAlthoughStopsGetShorter) {
  const Outcome outcome = check("candidate_bad_sensor_scale");
  EXPECT_EQ(outcome.exit_code, 1);
  const Failures failed = failures_of(outcome.run);
  EXPECT_TRUE(failed.worst == "tracking_error" || failed.worst == "peak_deceleration") << failed.worst;
  EXPECT_TRUE(failed.all.count("peak_deceleration in step_hand"));
  EXPECT_TRUE(failed.all.count("tracking_error in saltmarsh_dry_100"));
  EXPECT_LT(value_of(outcome.run, "saltmarsh_dry_100", "stopping_distance", "value"),
            value_of(outcome.run, "saltmarsh_dry_100", "stopping_distance", "baseline"));
}

TEST(Demo, LongerDebounceIsCaughtByTheDetectionTime) {
  const Outcome outcome = check("candidate_bad_fault_debounce");
  EXPECT_EQ(outcome.exit_code, 1);
  const Failures failed = failures_of(outcome.run);
  EXPECT_EQ(failed.worst, "fault_detection_time");
  EXPECT_EQ(failed.scenarios, (std::set<std::string>{"millrace_lost_request", "millrace_open_track"}));
  EXPECT_NEAR(value_of(outcome.run, "millrace_open_track", "fault_detection_time", "value") -
                  value_of(outcome.run, "millrace_open_track", "fault_detection_time", "baseline"),
              80, 1.01);  // ms: the planted 80, a tick of 1 ms either way
}

}  // namespace
