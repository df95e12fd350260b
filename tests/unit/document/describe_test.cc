#include "document/describe.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "unit/document/sample.h"

namespace brakeward::document {
namespace {

using testing::HasSubstr;
using testing::MatchesRegex;

std::string table_of(const std::string& name) {
  return describe(*find_type(name));
}

TEST(Describe, FitsTheScreenWithoutColour) {
  for (const auto* type : document_types()) {
    std::istringstream lines(describe(type));
    for (std::string line; std::getline(lines, line);) {
      EXPECT_LE(line.size(), 110u) << line;
      EXPECT_EQ(line.find('\x1B'), std::string::npos);
      EXPECT_TRUE(line.empty() || line.back() != ' ') << line;
    }
  }
}

TEST(Describe, ShowsUnitRangeDefaultAndMeaning) {
  const std::string table = table_of("calibration");
  EXPECT_THAT(
      table, testing::ContainsRegex("\nhand_control.hysteresis_mm +mm +0 to 5 +default 0\n    Play between"));
  EXPECT_THAT(table, testing::ContainsRegex("\nhand_control.dead_band_mm +mm +0 to 20 +required\n"));
  EXPECT_THAT(table, testing::ContainsRegex("\npedal.feel.points\\[\\].y +bar +0 to 250\n"));
  EXPECT_THAT(table, HasSubstr("y must not fall."));
  EXPECT_THAT(table, HasSubstr("Fields as in slip_limit.front."));
  EXPECT_THAT(table_of("scenario"), HasSubstr("One of END_RULE_STANDSTILL, END_RULE_END_OF_INPUT."));
  EXPECT_THAT(table_of("scenario"),
              testing::ContainsRegex("\ninitial_speed_kph +km/h +0 to 400 +may be unset\n"));
  EXPECT_THAT(table_of("scenario"),
              testing::ContainsRegex("\nrecorded +block +RecordedInput +one of input\n"));
}

// Every address a filled document has appears as a pattern or under a block that is referred to.
TEST(Describe, NamesEveryField) {
  for (const auto* type : document_types()) {
    const std::string table = describe(type);
    for (int i = 0; i < type->field_count(); ++i)
      EXPECT_THAT(table, HasSubstr("\n" + type->field(i)->name()));
  }
}

TEST(FindType, TakesEveryFormOfTheName) {
  EXPECT_EQ((*find_type("vehicle"))->full_name(), "brakeward.v1.Vehicle");
  EXPECT_EQ((*find_type("Vehicle"))->full_name(), "brakeward.v1.Vehicle");
  EXPECT_EQ((*find_type("tolerance_set"))->full_name(), "brakeward.v1.ToleranceSet");
  EXPECT_EQ((*find_type("tolerance-set"))->full_name(), "brakeward.v1.ToleranceSet");
  EXPECT_EQ((*find_type("brakeward.v1.Tyre"))->full_name(), "brakeward.v1.Tyre");
  EXPECT_EQ((*find_type("curve"))->full_name(), "brakeward.v1.Curve");
  const absl::Status status = find_type("Vehicel").status();
  EXPECT_EQ(status.code(), absl::StatusCode::kNotFound);
  EXPECT_THAT(std::string(status.message()),
              HasSubstr("did you mean Vehicle? Documents are Vehicle, Calibration"));
  EXPECT_FALSE(find_type("").ok());
}

}  // namespace
}  // namespace brakeward::document
