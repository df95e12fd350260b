// Blending against the car: where a fault is said to lie, and its words.
#include "scenario/blending.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "demo_documents.h"

namespace brakeward::scenario {
namespace {

using testing::AllOf;
using testing::HasSubstr;

std::string said(const std::string& car, double fade_to_kph) {
  auto calibration = tests::demo_document<v1::Calibration>("sorrel/calibrations/released.textproto");
  v1::Blending& b = *calibration.mutable_blending();
  document::parse("torque_limit_nm: 900 torque_nm_per_bar: 60", "made", b.mutable_front());
  *b.mutable_rear() = b.front();
  b.set_fade_from_kph(15);
  b.set_fade_to_kph(fade_to_kph);
  b.set_slew_limit_nm_per_s(5000);
  EXPECT_TRUE(document::check(calibration).empty()) << "the schema alone must let it pass";
  document::Faults faults;
  check_blending(calibration, tests::demo_document<v1::Vehicle>(car), "candidate.textproto", faults);
  return faults.render();
}

TEST(BlendingFields, NeedMotorsAndSpeedsInOrder) {
  EXPECT_EQ(said("yarrow/vehicle/yarrow.textproto", 6), "");
  EXPECT_THAT(said("sorrel/vehicle/sorrel.textproto", 6),
              AllOf(HasSubstr("blending.front: has no effect, because vehicle \"sorrel\" has no "
                              "driveline.front_motor"),
                    HasSubstr("blending.rear: has no effect")));
  EXPECT_THAT(said("yarrow/vehicle/yarrow.textproto", 15),
              HasSubstr("blending.fade_to_kph: 15 km/h; give less than blending.fade_from_kph, 15 km/h"));
}

}  // namespace
}  // namespace brakeward::scenario
