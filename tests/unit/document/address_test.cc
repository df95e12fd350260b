#include "document/address.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "brakeward/v1/calibration.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "unit/document/sample.h"

namespace brakeward::document {
namespace {

using testing::HasSubstr;

class Address : public testing::Test {
 protected:
  void SetUp() override { ASSERT_TRUE(parse(kCalibration, "c.textproto", &calibration_).empty()); }
  std::string refusal(const std::string& address) {
    return std::string(number_at(calibration_, address).status().message());
  }

  v1::Calibration calibration_;
};

TEST_F(Address, ByNameAndByPosition) {
  EXPECT_EQ(*number_at(calibration_, "balance.steps[\"+2\"].front_percent"), 64);
  EXPECT_EQ(*number_at(calibration_, "balance.steps[1].front_percent"), 64);
  EXPECT_EQ(*number_at(calibration_, "hand_control.effort_grades[\"dry\"].feel.points[2].y"), 100);
  EXPECT_EQ(*number_at(calibration_, "slip_limit.front.release_slip_percent"), 14);
}

TEST_F(Address, NamesMayHoldDotsBracketsAndQuotes) {
  calibration_.mutable_balance()->mutable_steps(0)->set_name("a.b]\"c\\");
  const std::string label =
      item_labels(calibration_.balance(), v1::Balance::descriptor()->FindFieldByName("steps"))[0];
  EXPECT_EQ(*number_at(calibration_, "balance.steps" + label + ".front_percent"), 62);
}

TEST_F(Address, Sets) {
  ASSERT_TRUE(set_number_at(&calibration_, "hand_control.hysteresis_mm", 0.25).ok());
  EXPECT_EQ(calibration_.hand_control().hysteresis_mm(), 0.25);
  v1::Vehicle vehicle;
  ASSERT_TRUE(set_number_at(&vehicle, "plant_substeps", 4).ok());
  EXPECT_EQ(vehicle.plant_substeps(), 4);
  EXPECT_THAT(std::string(set_number_at(&vehicle, "plant_substeps", 1.5).message()),
              HasSubstr("whole number"));
}

TEST_F(Address, SaysWhatDoesNotResolve) {
  EXPECT_THAT(refusal("balance.stps[0].front_percent"),
              HasSubstr("Balance has no field stps; did you mean steps?"));
  EXPECT_THAT(refusal("balance.steps[2].front_percent"),
              HasSubstr("steps[2] does not exist; it has [\"0\"], [\"+2\"]"));
  EXPECT_THAT(refusal("balance.steps[\"+3\"].front_percent"), HasSubstr("steps[\"+3\"] does not exist"));
  EXPECT_THAT(refusal("balance.steps.front_percent"), HasSubstr("say which item"));
  EXPECT_THAT(refusal("balance[0].step"), HasSubstr("balance is no list"));
  EXPECT_THAT(refusal("balance.demand_trim.points[0].y"), HasSubstr("demand_trim is not set"));
  EXPECT_THAT(refusal("hand_control.hysteresis_mm"), HasSubstr("is not set in this document"));
  EXPECT_THAT(refusal("name.x"), HasSubstr("name holds no fields"));
  EXPECT_THAT(refusal("name"), HasSubstr("is no number"));
  EXPECT_THAT(refusal("balance"), HasSubstr("is no number"));
  for (const char* broken :
       {"", ".", "a..b", "balance.", "balance.steps[", "balance.steps[\"0]", "balance.steps[0]x", "[0]",
        "balance.steps[]", "balance.steps[-1].front_percent", "balance.steps[99999999999].name"}) {
    EXPECT_FALSE(number_at(calibration_, broken).ok()) << broken;
  }
}

}  // namespace
}  // namespace brakeward::document
