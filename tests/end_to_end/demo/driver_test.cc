// The driver who follows a recorded speed, on both demo cars: how near he comes to it, and what effort he
// takes beside the recorded one. The reference is the replay of the same recording with its own request.
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>
#include <vector>

#include "end_to_end/demo/demo_check.h"
#include "temporary_folder.h"

namespace brakeward::demo {
namespace {

struct Followed {
  const char *car, *scenario, *replayed;
  double speed_error_mps, peak_speed_error_mps;  // what the pages state
};

const Followed kFollowed[] = {{"sorrel", "saltmarsh_follow_100", "saltmarsh_dry_100", 0.15, 0.35},
                              {"bracken", "heron_follow_50", "heron_dry_50", 0.2, 0.4}};

// The recorded travel as replayed, mm, where the hand is on the control.
std::vector<double> recorded_effort(const Followed& f) {
  const std::filesystem::path library = std::filesystem::path(BRAKEWARD_SOURCE_DIR) / "scenarios" / f.car;
  const tests::TemporaryFolder folder;
  const std::string csv = folder.file("trace.csv").string();
  const std::string command = std::string("'") + BRAKEWARD_PROGRAM + "' export trace " + f.replayed +
                              " --library '" + library.string() + "' --calibration '" +
                              (library / "calibrations/released.textproto").string() + "' --csv '" + csv +
                              "' > /dev/null";
  EXPECT_EQ(std::system(command.c_str()), 0);
  std::vector<double> out;
  std::ifstream in(csv);
  std::string line;
  std::getline(in, line);
  EXPECT_NE(line.find("hand_travel"), std::string::npos);
  while (std::getline(in, line)) {
    std::istringstream cells(line);
    std::string time, travel;
    std::getline(cells, time, ',');
    std::getline(cells, travel, ',');
    if (std::stod(travel) > 2) out.push_back(std::stod(travel));
  }
  return out;
}

TEST(FollowedDriver, ReproducesTheRecordedSpeedWithAboutTheRecordedEffort) {
  for (const Followed& f : kFollowed) {
    const Outcome outcome = check(f.car, "released");
    ASSERT_EQ(outcome.exit_code, 0) << f.car;
    const auto value = [&](const char* scenario, const char* measure) {
      return value_of(outcome.run, scenario, measure, "value");
    };
    EXPECT_LT(value(f.scenario, "driver_speed_error"), f.speed_error_mps) << f.car;
    EXPECT_LT(value(f.scenario, "driver_peak_speed_error"), f.peak_speed_error_mps) << f.car;
    const std::vector<double> recorded = recorded_effort(f);
    ASSERT_FALSE(recorded.empty());
    double sum = 0;
    for (const double travel : recorded) sum += travel;
    const double mean = sum / static_cast<double>(recorded.size());
    // A tenth: his plan is a straight line, the feel curve is none.
    EXPECT_NEAR(value(f.scenario, "hand_mean_effort"), mean, 0.1 * mean) << f.car;
    const double replayed = value(f.replayed, "mean_fully_developed_deceleration");
    EXPECT_NEAR(value(f.scenario, "mean_fully_developed_deceleration"), replayed, 0.08 * replayed) << f.car;
  }
}

}  // namespace
}  // namespace brakeward::demo
