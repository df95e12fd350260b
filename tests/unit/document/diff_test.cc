#include "document/diff.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "brakeward/v1/calibration.pb.h"
#include "brakeward/v1/recording.pb.h"
#include "brakeward/v1/scenario.pb.h"
#include "unit/document/sample.h"

namespace brakeward::document {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

MATCHER_P3(Differs, address, before, after, "") {
  *result_listener << arg.address << ": " << arg.before << " -> " << arg.after;
  return arg.address == address && arg.before == before && arg.after == after;
}

v1::Calibration unchanged() {
  v1::Calibration calibration;
  EXPECT_TRUE(parse(kCalibration, "c.textproto", &calibration).empty());
  return calibration;
}

TEST(Diff, NothingForTheSame) {
  EXPECT_THAT(*diff(unchanged(), unchanged()), IsEmpty());
}

TEST(Diff, ValuesWithUnitsAndUnsetWithDefault) {
  v1::Calibration after = unchanged();
  after.set_name("hard");
  after.mutable_hand_control()->set_hysteresis_mm(0);
  after.mutable_hand_control()->set_dead_band_mm(2);
  after.mutable_hand_control()->mutable_effort_grades(0)->mutable_feel()->mutable_points(1)->set_y(45);
  after.mutable_slip_limit()->clear_off_below_kph();
  EXPECT_THAT(*diff(unchanged(), after),
              ElementsAre(Differs("name", "\"soft\"", "\"hard\""),
                          Differs("hand_control.dead_band_mm", "1.5 mm", "2 mm"),
                          Differs("hand_control.hysteresis_mm", "unset (0 mm)", "0 mm"),
                          Differs("hand_control.effort_grades[\"dry\"].feel.points[1].y", "40 bar", "45 bar"),
                          Differs("slip_limit.off_below_kph", "8 km/h", "unset")));
}

TEST(Diff, CurvePointsThatComeAndGo) {
  v1::Calibration after = unchanged();
  after.mutable_pedal()->mutable_feel()->mutable_points()->RemoveLast();
  after.mutable_balance()->clear_speed_trim();
  EXPECT_THAT(*diff(unchanged(), after),
              ElementsAre(Differs("pedal.feel.points[1].x", "1000 N", "unset"),
                          Differs("pedal.feel.points[1].y", "90 bar", "unset"),
                          Differs("balance.speed_trim.points[0].x", "0 km/h", "unset"),
                          Differs("balance.speed_trim.points[0].y", "0 %", "unset"),
                          Differs("balance.speed_trim.points[1].x", "200 km/h", "unset"),
                          Differs("balance.speed_trim.points[1].y", "-1 %", "unset")));
}

TEST(Diff, NamedItemsAreMatchedByName) {
  v1::Calibration after = unchanged();
  auto* steps = after.mutable_balance()->mutable_steps();
  auto* added = steps->Add();
  added->set_name("-2");
  added->set_front_percent(60);
  steps->SwapElements(0, 2);  // -2, +2, 0
  EXPECT_THAT(*diff(unchanged(), after),
              ElementsAre(Differs("balance.steps[\"-2\"].name", "unset", "\"-2\""),
                          Differs("balance.steps[\"-2\"].front_percent", "unset", "60 %"),
                          Differs("balance.steps", "order [\"0\"] [\"+2\"]", "order [\"+2\"] [\"0\"]")));
}

TEST(Diff, ListsOfTextAndEmptyBlocks) {
  v1::Recording a;
  v1::Recording b;
  b.mutable_build_sheet();
  EXPECT_THAT(*diff(a, b), ElementsAre(Differs("build_sheet", "unset", "set, empty")));
  v1::Scenario before;
  v1::Scenario after;
  before.set_end_rule(v1::END_RULE_STANDSTILL);
  after.add_limits();
  EXPECT_THAT(*diff(before, after), ElementsAre(Differs("end_rule", "END_RULE_STANDSTILL", "unset"),
                                                Differs("limits[0]", "unset", "set, empty")));
}

TEST(Diff, RefusesTwoTypes) {
  EXPECT_EQ(diff(v1::Calibration(), v1::Recording()).status().code(), absl::StatusCode::kInvalidArgument);
}

// Every field of every document, set on one side only: exactly then there is a difference, as with the hash.
TEST(Diff, SeesWhatTheHashSees) {
  for (const auto* type : document_types()) {
    const auto full = new_message(type);
    fill(full.get());
    for (int i = 0; i < type->field_count(); ++i) {
      const auto less = new_message(type);
      less->CopyFrom(*full);
      less->GetReflection()->ClearField(less.get(), type->field(i));
      const bool same = *content_sha256(*less) == *content_sha256(*full);
      EXPECT_EQ(diff(*full, *less)->empty(), same) << type->field(i)->full_name();
      EXPECT_EQ(diff(*less, *full)->size(), diff(*full, *less)->size()) << type->field(i)->full_name();
    }
  }
}

}  // namespace
}  // namespace brakeward::document
