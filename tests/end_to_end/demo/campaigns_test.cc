// What the campaigns of a release find on the demo cars.
#include <gtest/gtest.h>

#include <algorithm>

#include "end_to_end/demo/demo_check.h"

namespace brakeward::demo {
namespace {

using nlohmann::json;

const json& named(const json& list, const char* field, const std::string& name) {
  static const json none = json::object();
  const auto it = std::find_if(list.begin(), list.end(), [&](const json& x) { return x.at(field) == name; });
  EXPECT_NE(it, list.end()) << name;
  return it == list.end() ? none : *it;
}

double value_of(const json& fault, const std::string& measure) {
  return named(fault.at("measures"), "measure", measure).at("value");
}

class Release : public testing::TestWithParam<const char*> {
 protected:
  json campaign(const std::string& name) {
    const Outcome outcome = check(GetParam(), "released", "endurance");
    EXPECT_EQ(outcome.exit_code, 0);
    const json scenario = named(outcome.run.at("scenarios"), "scenario", name);
    EXPECT_EQ(scenario.at("verdict"), "VERDICT_PASS");
    return scenario.at("campaign");
  }
};

// Without both actuators nothing brakes for as long as they are dead: as single faults would not be
// tolerated.
TEST_P(Release, ReportsDoubleFaultsWithoutAFaultTolerantTime) {
  const json found = campaign("double_faults");
  EXPECT_FALSE(found.contains("fault_tolerant_time_ms"));
  ASSERT_EQ(found.at("faults").size(), 7u);
  const json& dead = named(found.at("faults"), "name", "both_actuators_dead");
  EXPECT_EQ(dead.at("verdict"), "VERDICT_PASS") << "as before, which is all that is asked";
  EXPECT_GT(value_of(dead, "fault_unbraked_time"), 500);
  const json& half = named(found.at("faults"), "name", "accelerator_and_dead_front");
  EXPECT_GT(value_of(half, "fault_lost_distance"), 1);
}

// What the released calibration does not watch is not noticed, and the brakes go on.
TEST_P(Release, GoesOnBrakingWithSensorsAndActuatorsDegraded) {
  const json found = campaign("degraded");
  EXPECT_EQ(found.at("fault_tolerant_time_ms"), 400);
  ASSERT_EQ(found.at("faults").size(), 8u);
  for (const json& fault : found.at("faults")) {
    const std::string name = fault.at("name");
    EXPECT_LE(value_of(fault, "fault_unbraked_time"), 400) << name;
    EXPECT_EQ(value_of(fault, "fault_unrequested_time"), 0) << name;
    EXPECT_EQ(value_of(fault, "fault_unstopped_share"), 0) << name;
    EXPECT_EQ(value_of(fault, "fault_undetected_share"), 100) << name;
  }
  EXPECT_GT(value_of(named(found.at("faults"), "name", "accelerator"), "fault_lost_distance"), 1);
}

INSTANTIATE_TEST_SUITE_P(Cars, Release, testing::Values("sorrel", "bracken"),
                         [](const auto& p) { return std::string(p.param); });

}  // namespace
}  // namespace brakeward::demo
