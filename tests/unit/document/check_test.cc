// Rules on a message that came from no file.
#include "document/check.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "brakeward/v1/calibration.pb.h"
#include "brakeward/v1/run.pb.h"
#include "brakeward/v1/scenario.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "unit/document/sample.h"

namespace brakeward::document {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

MATCHER_P2(Says, address, text, "") {
  *result_listener << render(arg);
  return arg.address == address && arg.text.find(text) != std::string::npos && arg.line == 0;
}

v1::Calibration good() {
  v1::Calibration calibration;
  EXPECT_TRUE(parse(kCalibration, "c.textproto", &calibration).empty());
  return calibration;
}

TEST(Check, FilledMessagesOfEveryTypeAreGood) {
  for (const auto* type : document_types()) {
    const auto message = new_message(type);
    fill(message.get());
    EXPECT_EQ(check(*message).render(), "") << type->name();
  }
}

// Each number of each document just outside its range, and not finite, is refused; on its limits it is not.
void expect_limits_hold(const google::protobuf::Message& root, google::protobuf::Message* message,
                        int* numbers) {
  const auto* reflection = message->GetReflection();
  std::vector<const google::protobuf::FieldDescriptor*> fields;
  reflection->ListFields(*message, &fields);
  for (const auto* field : fields) {
    if (curve_of(field) != nullptr) continue;
    for (int i = 0;
         field->is_repeated() && field->message_type() && i < reflection->FieldSize(*message, field); ++i) {
      expect_limits_hold(root, reflection->MutableRepeatedMessage(message, field, i), numbers);
    }
    if (!field->is_repeated() && field->message_type()) {
      expect_limits_hold(root, reflection->MutableMessage(message, field), numbers);
    }
    const v1::Quantity* quantity = quantity_of(field);
    if (quantity == nullptr || field->cpp_type() != google::protobuf::FieldDescriptor::CPPTYPE_DOUBLE)
      continue;
    ++*numbers;
    const double kept = reflection->GetDouble(*message, field);
    const double below = std::nextafter(quantity->minimum(), -INFINITY);
    const double above = std::nextafter(quantity->maximum(), INFINITY);
    for (const double bad : {below, above, double{NAN}, double{INFINITY}, -double{INFINITY}}) {
      reflection->SetDouble(message, field, bad);
      const Faults faults = check(root);
      ASSERT_EQ(faults.list.size(), 1u) << field->full_name() << " = " << bad;
      EXPECT_THAT(faults.list[0].address, HasSubstr(field->name()));
    }
    for (const double on_limit : {quantity->minimum(), quantity->maximum()}) {
      reflection->SetDouble(message, field, on_limit);
      EXPECT_EQ(check(root).render(), "") << field->full_name();
    }
    reflection->SetDouble(message, field, kept);
  }
}

TEST(Check, EveryLimitOfTheSchemaHolds) {
  for (const auto* type : document_types()) {
    const auto message = new_message(type);
    fill(message.get());
    int numbers = 0;
    expect_limits_hold(*message, message.get(), &numbers);
    EXPECT_GT(numbers, type->name() == "Vehicle" ? 50 : -1);
  }
}

// Each field cleared: refused when and only when the schema demands it.
TEST(Check, EveryRequiredFieldIsMissed) {
  for (const auto* type : document_types()) {
    const auto message = new_message(type);
    fill(message.get());
    for (int i = 0; i < type->field_count(); ++i) {
      const auto* field = type->field(i);
      const auto less = new_message(type);
      less->CopyFrom(*message);
      const bool was_set = field->is_repeated() || less->GetReflection()->HasField(*less, field);
      less->GetReflection()->ClearField(less.get(), field);
      const Faults faults = check(*less);
      if (field->real_containing_oneof() != nullptr) {
        EXPECT_EQ(faults.list.size(), was_set ? 1u : 0u) << field->full_name();
      } else if (is_required(field)) {
        EXPECT_THAT(faults.list,
                    ElementsAre(Says(field->name(), field->is_repeated() ? "is empty" : "missing")));
      } else {
        EXPECT_EQ(faults.render(), "") << field->full_name();
      }
    }
  }
}

TEST(Check, MissingNumberNamesRangeAndTypical) {
  v1::Calibration calibration = good();
  calibration.mutable_slip_limit()->clear_off_below_kph();
  EXPECT_THAT(check(calibration).list,
              ElementsAre(Says(
                  "slip_limit.off_below_kph",
                  "is missing; set it to a value from 0 to 50 km/h, typically 8 km/h. (The limiter is off")));
}

TEST(Check, Curves) {
  v1::Calibration calibration = good();
  v1::Curve* curve = calibration.mutable_pedal()->mutable_feel();
  curve->mutable_points(1)->set_x(0);
  EXPECT_THAT(check(calibration).list, ElementsAre(Says("pedal.feel.points[1].x",
                                                        "x must rise from point to point, but "
                                                        "0 N follows 0 N")));
  curve->mutable_points(1)->set_x(3001);
  curve->mutable_points(0)->set_y(95);
  EXPECT_THAT(check(calibration).list,
              ElementsAre(Says("pedal.feel.points[1].x", "3001 N is above the allowed 0 to 3000 N"),
                          Says("pedal.feel.points[1].y",
                               "y must not fall along this curve, but 90 bar follows 95 bar")));
  curve->mutable_points(1)->set_x(1000);
  curve->mutable_points(1)->set_y(95);
  EXPECT_THAT(check(calibration).list, IsEmpty());
  curve->mutable_points(1)->clear_y();
  EXPECT_THAT(check(calibration).list,
              ElementsAre(Says("pedal.feel.points[1].y", "is missing; every point has x and y")));
  curve->mutable_points(1)->set_y(std::nan(""));
  EXPECT_THAT(check(calibration).list,
              ElementsAre(Says("pedal.feel.points[1].y", "nan is not a finite number")));
  curve->clear_points();
  EXPECT_THAT(check(calibration).list,
              ElementsAre(Says("pedal.feel.points", "give 1 to 16, x in N, y in bar")));
  for (int i = 0; i < 17; ++i) {
    auto* point = curve->add_points();
    point->set_x(i);
    point->set_y(1);
  }
  EXPECT_THAT(check(calibration).list, ElementsAre(Says("pedal.feel.points", "has 17 points; give 1 to 16")));
  curve->mutable_points()->RemoveLast();
  EXPECT_THAT(check(calibration).list, IsEmpty());
}

TEST(Check, ACurveWithoutDemandOnOrderMayFall) {
  v1::Calibration calibration = good();
  calibration.mutable_balance()->mutable_speed_trim()->mutable_points(0)->set_y(20);
  EXPECT_THAT(check(calibration).list, IsEmpty());
}

TEST(Check, RepeatedNames) {
  v1::Calibration calibration = good();
  calibration.mutable_hand_control()->mutable_effort_grades(1)->set_name("dry");
  EXPECT_THAT(check(calibration).list,
              ElementsAre(Says("hand_control.effort_grades[1].name",
                               "\"dry\" is already the name of hand_control.effort_grades[0]")));
}

TEST(Check, ItemsAreNamedWhereTheyHaveAName) {
  v1::Calibration calibration = good();
  calibration.mutable_balance()->mutable_steps(1)->set_front_percent(5);
  EXPECT_THAT(check(calibration).list,
              ElementsAre(Says("balance.steps[\"+2\"].front_percent", "5 % is below")));
  calibration.mutable_balance()->mutable_steps(1)->clear_name();
  EXPECT_THAT(check(calibration).list, ElementsAre(Says("balance.steps[1].name", "missing"),
                                                   Says("balance.steps[1].front_percent", "5 % is below")));
}

TEST(Check, TextIsPlain) {
  v1::Calibration calibration = good();
  calibration.set_remark("two\nlines\tare fine");
  EXPECT_THAT(check(calibration).list, IsEmpty());
  calibration.set_remark("bell \a");
  EXPECT_THAT(check(calibration).list,
              ElementsAre(Says("remark", "\"bell \\007\" holds a control character")));
}

TEST(Check, WordsUnknownToTheSchema) {
  v1::Scenario scenario;
  fill(&scenario);
  scenario.set_end_rule(static_cast<v1::EndRule>(9));
  EXPECT_THAT(check(scenario).list,
              ElementsAre(Says("end_rule", "9 is no value of EndRule; choose one of END_RULE_STA")));
}

TEST(Check, UnknownFieldsOfTheWire) {
  v1::Calibration calibration = good();
  auto* balance = calibration.mutable_balance();
  balance->GetReflection()->MutableUnknownFields(balance)->AddVarint(99, 1);
  EXPECT_THAT(check(calibration).list,
              ElementsAre(Says("balance", "carries field number 99, which Balance does not have")));
}

TEST(Check, StatusHoldsAllFaults) {
  v1::Calibration calibration = good();
  calibration.clear_name();
  calibration.clear_vehicle();
  const absl::Status status = check(calibration).status();
  EXPECT_EQ(status.code(), absl::StatusCode::kInvalidArgument);
  EXPECT_THAT(std::string(status.message()), testing::AllOf(HasSubstr("name: "), HasSubstr("\nvehicle: ")));
  EXPECT_TRUE(check(good()).status().ok());
}

TEST(Defaults, FillOnlyWhatMayNotStayUnset) {
  v1::Scenario scenario;
  scenario.mutable_synthetic()->set_hold_s(3);
  scenario.add_limits();
  resolve_defaults(&scenario);
  EXPECT_EQ(scenario.longest_s(), 60);
  EXPECT_EQ(scenario.air_density_kg_per_m3(), 1.2);
  EXPECT_EQ(scenario.synthetic().onset_s(), 0.5);
  EXPECT_EQ(scenario.synthetic().hold_s(), 3);
  EXPECT_EQ(scenario.limits(0).maximum(), 1e9);
  EXPECT_FALSE(scenario.has_initial_speed_kph());
  EXPECT_FALSE(scenario.has_road());
  v1::Vehicle vehicle;
  resolve_defaults(&vehicle);
  EXPECT_EQ(vehicle.plant_substeps(), 1);
  EXPECT_EQ(vehicle.tick_ms(), 1);
  EXPECT_FALSE(vehicle.has_chassis());
  const std::string once = vehicle.SerializeAsString();
  resolve_defaults(&vehicle);
  EXPECT_EQ(vehicle.SerializeAsString(), once);
}

}  // namespace
}  // namespace brakeward::document
