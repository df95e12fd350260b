// The stints of the demo cars: what was released passes; mistakes that no scenario or campaign of the gate
// shows are caught, and the measure named first is the one an engineer would look for.
#include <gtest/gtest.h>

#include "end_to_end/demo/demo_check.h"

namespace brakeward::demo {
namespace {

class Endurance : public testing::TestWithParam<const char*> {};

TEST_P(Endurance, PassesWithWhatWasReleased) {
  const Outcome outcome = check(GetParam(), "released", "endurance");
  EXPECT_EQ(outcome.exit_code, 0);
  size_t stints = 0;
  for (const auto& scenario : outcome.run.at("scenarios")) stints += scenario.contains("stint");
  EXPECT_EQ(stints, 2u);
}

TEST_P(Endurance, ShowsBrakesThatDragWhileTheyShouldCool) {
  const Outcome outcome = check(GetParam(), "endurance_bad_drag", "endurance");
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(outcome.first.find("stint_drag_work in "), 0u) << outcome.first;
}

TEST_P(Endurance, AloneShowsASelectorThatChangesOverAtOnce) {
  EXPECT_EQ(check(GetParam(), "endurance_bad_change_over").exit_code, 0)
      << "no scenario of the gate shows it";
  const Outcome outcome = check(GetParam(), "endurance_bad_change_over", "endurance");
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(outcome.first.find("change_over_jump in "), 0u) << outcome.first;
}

INSTANTIATE_TEST_SUITE_P(Cars, Endurance, testing::Values("sorrel", "bracken"),
                         [](const auto& info) { return std::string(info.param); });

}  // namespace
}  // namespace brakeward::demo
