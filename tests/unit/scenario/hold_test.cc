// The hold at standstill against the rest of its calibration: where a fault is said to lie, and its words.
#include "scenario/hold.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "demo_documents.h"

namespace brakeward::scenario {
namespace {

using testing::HasSubstr;

class HoldFields : public testing::Test {
 protected:
  v1::Calibration calibration =
      tests::demo_document<v1::Calibration>("sorrel/calibrations/released.textproto");

  v1::StandstillHold& hold() {
    v1::StandstillHold& h = *calibration.mutable_standstill_hold();
    document::parse(
        "standing_below_kph: 0.5 standing_ms: 100 share_percent: 100 limit_bar: 40 longest_ms: 2000 "
        "rolls_above_kph: 2 launch_accelerator_percent: 5 release_rate_bar_per_s: 150",
        "made", &h);
    return h;
  }
  std::string said() const {
    EXPECT_TRUE(document::check(calibration).empty()) << "the schema alone must let it pass";
    document::Faults faults;
    check_hold(calibration, "candidate.textproto", faults);
    return faults.render();
  }
};

TEST_F(HoldFields, MayStayUnsetOrBeGivenWhole) {
  EXPECT_EQ(said(), "");
  hold();
  EXPECT_EQ(said(), "");
}

TEST_F(HoldFields, AreAllNeededAndWithinTheirRanges) {
  v1::StandstillHold& h = hold();
  h.clear_longest_ms();
  h.set_launch_accelerator_percent(0.1);
  const std::string text = document::check(calibration).render();
  EXPECT_THAT(text, HasSubstr("standstill_hold.longest_ms: "));
  EXPECT_THAT(text, HasSubstr("standstill_hold.launch_accelerator_percent: 0.1 % is below the allowed 0.5 to "
                              "100 %"));
}

TEST_F(HoldFields, KeepToTheLimitsOfTheDemand) {
  v1::StandstillHold& h = hold();
  h.set_limit_bar(96);
  h.set_release_rate_bar_per_s(701);
  h.set_rolls_above_kph(0.4);
  const std::string text = said();
  EXPECT_THAT(text, HasSubstr("standstill_hold.limit_bar: 96 bar; give at most "
                              "pressure_control.demand_limit_bar, 95 bar"));
  EXPECT_THAT(text, HasSubstr("standstill_hold.release_rate_bar_per_s: 701 bar/s; give at most "
                              "pressure_control.fall_limit_bar_per_s, 700 bar/s"));
  EXPECT_THAT(text, HasSubstr("standstill_hold.rolls_above_kph: 0.4 km/h; give at least "
                              "standstill_hold.standing_below_kph, 0.5 km/h"));
}

}  // namespace
}  // namespace brakeward::scenario
