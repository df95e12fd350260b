// Every kind of fault with its exact line and address.
#include "document/parse.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "brakeward/v1/calibration.pb.h"
#include "brakeward/v1/scenario.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "unit/document/sample.h"

namespace brakeward::document {
namespace {

using testing::AllOf;
using testing::ElementsAre;
using testing::HasSubstr;

MATCHER_P3(IsFault, line, address, text, "") {
  *result_listener << render(arg);
  return arg.line == line && arg.address == address && arg.text.find(text) != std::string::npos &&
         arg.column > 0;
}

std::vector<Fault> faults_of(const std::string& text, const std::string& file = "c.textproto") {
  v1::Calibration calibration;
  return parse(text, file, &calibration).list;
}

std::vector<Fault> faults_with(const std::string& from, const std::string& to) {
  return faults_of(replaced(kCalibration, from, to));
}

TEST(Parse, ReadsAGoodDocument) {
  v1::Calibration calibration;
  EXPECT_EQ(parse(kCalibration, "c.textproto", &calibration).render(), "");
  EXPECT_EQ(calibration.hand_control().effort_grades(1).feel().points(1).y(), 60);
  EXPECT_FALSE(calibration.hand_control().has_hysteresis_mm());
}

TEST(Parse, SaysFileLineAddressValueRangeUnitAndRemedy) {
  v1::Calibration calibration;
  EXPECT_EQ(
      parse(replaced(kCalibration, "dead_band_mm: 1.5", "dead_band_mm: 45"), "soft.textproto", &calibration)
          .render(),
      "soft.textproto:9: hand_control.dead_band_mm: 45 mm is above the allowed 0 to 20 mm; lower it to 20 mm "
      "or less. (Travel without demand at the start of the stroke.)\n");
}

TEST(Parse, UnknownFieldWithSuggestion) {
  EXPECT_THAT(faults_with("dead_band_mm: 1.5", "deadband_mm: 1.5"),
              ElementsAre(IsFault(9, "hand_control.deadband_mm", "did you mean dead_band_mm?")));
  EXPECT_THAT(faults_with("step: \"0\"", "stepp: \"0\""),
              ElementsAre(IsFault(35, "balance.stepp", "did you mean step?")));
}

TEST(Parse, UnknownFieldThatBelongsElsewhere) {
  EXPECT_THAT(faults_with("  dead_band_n: 15", "  front_percent: 60\n  dead_band_n: 15"),
              ElementsAre(IsFault(28, "pedal.front_percent", "belongs to balance.steps[]")));
}

TEST(Parse, UnknownBlockIsOneFault) {
  EXPECT_THAT(faults_with("pedal {", "colours { red: 1 blue { x: 2 } }\npedal {"),
              ElementsAre(IsFault(25, "colours", "has no field of this name; its fields are name, vehicle")));
}

TEST(Parse, UnitTypedAfterANumber) {
  EXPECT_THAT(
      faults_with("integral_limit_bar: 10", "integral_limit_bar: 10 bar"),
      ElementsAre(IsFault(44, "pressure_control.integral_limit_bar", "write integral_limit_bar: 10")));
  EXPECT_THAT(
      faults_with("integral_limit_bar: 10", "integral_limit_bar: 10bar"),
      ElementsAre(IsFault(44, "pressure_control.integral_limit_bar", "write integral_limit_bar: 10")));
  EXPECT_THAT(faults_with("demand_limit_bar: 100", "demand_limit_bar: 100 psi # gauge"),
              ElementsAre(IsFault(
                  41, "pressure_control.demand_limit_bar",
                  "'psi' after 100 must not be written; the value is a plain number in bar, from 5 to "
                  "250 bar")));
  EXPECT_THAT(
      faults_with("reference_change_mps2: 12", "reference_change_mps2: 12 m/s^2"),
      ElementsAre(IsFault(62, "slip_limit.reference_change_mps2", "the value is in m/s^2 by definition")));
  EXPECT_THAT(
      faults_with("{ name: \"0\" front_percent: 62 }", "{ name: \"0\" front_percent: 62 % }"),
      ElementsAre(IsFault(33, "balance.steps[\"0\"].front_percent", "the value is in % by definition")));
}

TEST(Parse, DecimalComma) {
  EXPECT_THAT(faults_with("dead_band_mm: 1.5", "dead_band_mm: 1,5"),
              ElementsAre(IsFault(9, "hand_control.dead_band_mm", "write a point: 1.5")));
}

TEST(Parse, WrongKindOfValue) {
  EXPECT_THAT(
      faults_with("dead_band_n: 15", "dead_band_n: soft"),
      ElementsAre(IsFault(28, "pedal.dead_band_n", "soft is no number; give a number from 0 to 200 N")));
  EXPECT_THAT(faults_with("dead_band_n: 15", "dead_band_n: \"15\""),
              ElementsAre(IsFault(28, "pedal.dead_band_n", "in quotes")));
  EXPECT_THAT(faults_with("dead_band_n: 15", "dead_band_n { x: 15 }"),
              ElementsAre(IsFault(28, "pedal.dead_band_n", "not a block")));
  EXPECT_THAT(faults_with("dead_band_n: 15", "dead_band_n: [15, 16]"),
              ElementsAre(IsFault(28, "pedal.dead_band_n", "not a list")));
  EXPECT_THAT(faults_with("dead_band_n: 15", "dead_band_n:"),
              ElementsAre(IsFault(28, "pedal.dead_band_n", "has no value; give a number from 0 to 200 N")));
  EXPECT_THAT(faults_with("dead_band_n: 15", "dead_band_n 15"),
              ElementsAre(IsFault(28, "pedal.dead_band_n", "stands where a colon")));
  EXPECT_THAT(faults_with("dead_band_n: 15", "dead_band_n = 15"),
              ElementsAre(IsFault(28, "pedal.dead_band_n", "'= 15' stands where a colon")));
  EXPECT_THAT(faults_with("dead_band_n: 15", "dead_band_n: 015"),
              ElementsAre(IsFault(28, "pedal.dead_band_n", "not a decimal number")));
  EXPECT_THAT(faults_with("step: \"0\"", "step: zero"),
              ElementsAre(IsFault(35, "balance.step", "text and goes in quotes: \"zero\"")));
  EXPECT_THAT(faults_with("step: \"0\"", "step: \"0"),
              ElementsAre(IsFault(35, "balance.step", "a quote that is not closed")));
  EXPECT_THAT(faults_with("  front {", "  front: 5\n  front {"),
              testing::Contains(
                  IsFault(47, "slip_limit.front", "is a block of fields (AxleSlipLimit), not the value 5")));
}

TEST(Parse, NumbersThatAreNone) {
  EXPECT_THAT(faults_with("dead_band_n: 15", "dead_band_n: nan"),
              ElementsAre(IsFault(28, "pedal.dead_band_n", "nan is not a finite number")));
  EXPECT_THAT(faults_with("dead_band_n: 15", "dead_band_n: -inf"),
              ElementsAre(IsFault(28, "pedal.dead_band_n", "-inf is not a finite number")));
  EXPECT_THAT(
      faults_with("dead_band_n: 15", "dead_band_n: 1e999"),
      ElementsAre(IsFault(28, "pedal.dead_band_n", "too large to hold; use a value from 0 to 200 N")));
}

TEST(Parse, WholeNumbers) {
  v1::Vehicle vehicle;
  const auto faults = [&](const std::string& value) {
    std::vector<Fault> found;
    for (const Fault& fault : parse("name: \"v\"\nplant_substeps: " + value, "v.textproto", &vehicle).list) {
      if (fault.address == "plant_substeps") found.push_back(fault);
    }
    return found;
  };
  EXPECT_THAT(faults("8"), testing::IsEmpty());
  EXPECT_THAT(faults("65"), ElementsAre(IsFault(2, "plant_substeps", "65 is above the allowed 1 to 64")));
  EXPECT_THAT(faults("1.5"), ElementsAre(IsFault(2, "plant_substeps", "not a whole number")));
  EXPECT_THAT(faults("3000000000"), ElementsAre(IsFault(2, "plant_substeps", "too large")));
  EXPECT_THAT(faults("99999999999999999999"), ElementsAre(IsFault(2, "plant_substeps", "too large")));
}

TEST(Parse, FieldGivenTwice) {
  EXPECT_THAT(faults_with("dead_band_n: 15", "dead_band_n: 15\n  dead_band_n: 20"),
              ElementsAre(IsFault(29, "pedal.dead_band_n", "is given twice, first in line 28")));
  EXPECT_THAT(faults_with("balance {", "pedal { }\nbalance {"),
              ElementsAre(IsFault(32, "pedal", "is given twice, first in line 25")));
}

TEST(Parse, EnumWords) {
  v1::Scenario scenario;
  const std::string text =
      "name: \"s\"\npurpose: \"p\"\nscenario_class: STRAIGHT_DRY\nentry_point: 7\n"
      "end_rule: END_RULE_UNSPECIFIED\nroad { friction_left { points { x: 0 y: 1 } } }\n"
      "synthetic { shape: SYNTHETIC_SHAPE_STEP control: REQUEST_CONTROL_HANDS }\n";
  EXPECT_THAT(
      parse(text, "s.textproto", &scenario).list,
      ElementsAre(IsFault(3, "scenario_class", "did you mean SCENARIO_CLASS_STRAIGHT_DRY?"),
                  IsFault(4, "entry_point", "7 is no value of EntryPoint; choose one of ENTRY_POINT_REQUEST"),
                  IsFault(5, "end_rule", "is missing; choose one of END_RULE_STANDSTILL"),
                  IsFault(7, "synthetic.control", "did you mean REQUEST_CONTROL_HAND?")));
}

TEST(Parse, OneofMembers) {
  v1::Scenario scenario;
  const std::string head =
      "name: \"s\"\npurpose: \"p\"\nscenario_class: SCENARIO_CLASS_STEP\n"
      "entry_point: ENTRY_POINT_REQUEST\nend_rule: END_RULE_STANDSTILL\n"
      "road { friction_left { points { x: 0 y: 1 } } }\n";
  EXPECT_THAT(parse(head, "s.textproto", &scenario).list,
              ElementsAre(IsFault(1, "input", "give one of recorded, synthetic")));
  const std::string both =
      "recorded { recording: \"r\" start_s: 0 end_s: 1 }\n"
      "synthetic { shape: SYNTHETIC_SHAPE_STEP control: REQUEST_CONTROL_HAND }\n";
  EXPECT_THAT(parse(head + both, "s.textproto", &scenario).list,
              ElementsAre(IsFault(8, "synthetic", "cannot stand beside recorded in line 7")));
}

TEST(Parse, BracketsAreLocatedByIndentation) {
  EXPECT_THAT(faults_with("mm_per_volt: -10 }", "mm_per_volt: -10"),
              ElementsAre(IsFault(8, "", "By the indentation, look at track_b, opened in line 8")));
  EXPECT_THAT(faults_with("  effort_grade: \"dry\"\n}", "  effort_grade: \"dry\""),
              ElementsAre(IsFault(6, "", "'{' of hand_control in line 6 is not closed; add '}'")));
  EXPECT_THAT(faults_of(std::string(kCalibration) + "}\n"), ElementsAre(IsFault(74, "", "closes nothing")));
  EXPECT_THAT(faults_with("y: 60 }] }", "y: 60 }} }"),
              testing::Contains(IsFault(21, "", "'}' in line 21 stands where ']' should close points")));
}

TEST(Parse, BeforeABrokenBracketAllIsChecked) {
  const std::string text = replaced(kCalibration, "dead_band_mm: 1.5", "dead_band_mm: 99");
  EXPECT_THAT(faults_of(replaced(text, "  effort_grade: \"dry\"\n}", "  effort_grade: \"dry\"")),
              ElementsAre(IsFault(6, "", "From line 24 on nothing is checked"),
                          IsFault(9, "hand_control.dead_band_mm", "99 mm")));
}

TEST(Parse, ManyFaultsAtOnce) {
  std::string text = kCalibration;
  const std::vector<std::pair<std::string, std::string>> changes = {
      {"zero_volts: 4.5 mm", "zero_volts: 4.5 V mm"},
      {"dead_band_mm: 1.5", "dead_band: 1.5"},
      {"x: 20 y: 40", "x: 20 y: 400"},
      {"effort_grade: \"dry\"", "effort_grade: dry"},
      {"low_pass_hz: 40", "low_pass_hz: forty"},
      {"name: \"0\" front", "name: \"+2\" front"},
      {"front_percent: 64", "front_percent: 164"},
      {"gain_per_s: 2", "gain_per_s: nan"},
      {"  off_below_kph: 8\n", ""},
      {"volts_minimum: 0.25", "volts_minimum: 0,25"}};
  for (const auto& [from, to] : changes) text = replaced(text, from, to);
  EXPECT_THAT(
      faults_of(text),
      ElementsAre(IsFault(8, "hand_control.track_b.zero_volts", "'V' after 4.5"),
                  IsFault(9, "hand_control.dead_band", "did you mean dead_band_mm?"),
                  IsFault(15, "hand_control.effort_grades[\"dry\"].feel.points[1].y", "400 bar is above"),
                  IsFault(23, "hand_control.effort_grade", "goes in quotes"),
                  IsFault(29, "pedal.low_pass_hz", "forty is no number"),
                  IsFault(34, "balance.steps[1].name", "already the name of balance.steps[0]"),
                  IsFault(34, "balance.steps[1].front_percent", "164 % is above the allowed 20 to 95 %"),
                  IsFault(43, "pressure_control.integral_gain_per_s", "nan"),
                  IsFault(46, "slip_limit.off_below_kph", "is missing"),
                  IsFault(64, "supervision.volts_minimum", "decimal comma")));
}

// More faults that only protobuf's parser sees than rounds: still an answer, and still not accepted.
TEST(Parse, ParserFaultsAreGoneThroughOneByOne) {
  std::string text = kCalibration;
  text = replaced(text, "\"soft\"", "\"so\\qft\"");
  text = replaced(text, "\"wet\"", "\"w\\qet\"");
  text = replaced(text, "dead_band_n: 15", "dead_band_n: 1500");
  EXPECT_THAT(faults_of(text),
              ElementsAre(IsFault(4, "name", "cannot be read: "),
                          IsFault(20, "hand_control.effort_grades[1].name", "cannot be read: "),
                          IsFault(28, "pedal.dead_band_n", "1500 N is above")));
}

TEST(Parse, WrongDocument) {
  v1::Vehicle vehicle;
  EXPECT_THAT(parse(kCalibration, "c.textproto", &vehicle).list,
              ElementsAre(IsFault(2, "",
                                  "the header says this is a brakeward.v1.Calibration, but a "
                                  "brakeward.v1.Vehicle is wanted here")));
  const std::string bare = std::string(kCalibration).substr(std::string(kCalibration).find("name:"));
  EXPECT_THAT(parse(bare, "c.textproto", &vehicle).list,
              ElementsAre(IsFault(1, "", "by its fields this is a brakeward.v1.Calibration")));
}

TEST(Parse, NoDocumentAtAll) {
  EXPECT_THAT(faults_of(""), ElementsAre(IsFault(1, "", "the document is empty")));
  EXPECT_THAT(faults_of(" \n# only a comment\n"), ElementsAre(IsFault(1, "", "the document is empty")));
  EXPECT_THAT(faults_of(std::string("name: \"a\"\n\0", 11)),
              ElementsAre(IsFault(2, "", "byte 0x00 at offset 10")));
  EXPECT_THAT(faults_of("name: \"\xFF\""), ElementsAre(IsFault(1, "", "byte 0xff at offset 7 is not UTF-8")));
  EXPECT_THAT(faults_of(std::string(kLargestDocument + 1, ' ')), ElementsAre(IsFault(1, "", "8388608")));
}

TEST(Parse, WindowsEditors) {
  std::string text = "\xEF\xBB\xBF";
  for (const char c : std::string(kCalibration)) text += c == '\n' ? std::string("\r\n") : std::string(1, c);
  EXPECT_THAT(faults_of(text), testing::IsEmpty());
  EXPECT_THAT(faults_of(replaced(text, "dead_band_n: 15", "dead_band_n: 1500")),
              ElementsAre(IsFault(28, "pedal.dead_band_n", "1500 N is above")));
}

TEST(Parse, TabsCountAsOneColumn) {
  const auto faults = faults_with("  dead_band_n: 15", "\tdead_band_n: 1500");
  ASSERT_EQ(faults.size(), 1u);
  EXPECT_EQ(faults[0].line, 28);
  EXPECT_EQ(faults[0].column, 2);
}

std::string json_sample() {
  v1::Calibration calibration;
  EXPECT_TRUE(parse(kCalibration, "c.textproto", &calibration).empty());
  return *to_json(calibration);
}

TEST(ParseJson, ReadsSchemaNamesAndCamelCase) {
  EXPECT_THAT(faults_of(json_sample(), "c.json"), testing::IsEmpty());
  EXPECT_THAT(faults_of(replaced(json_sample(), "\"dead_band_mm\"", "\"deadBandMm\""), "c.json"),
              testing::IsEmpty());
}

TEST(ParseJson, ManyFaultsAtOnce) {
  std::string text = json_sample();
  text = replaced(text, "\"dead_band_mm\": 1.5", "\"deadBandMm\": 150");
  text = replaced(text, "\"mm_per_volt\": -10", "\"mm_per_volt\": \"steep\"");
  text = replaced(text, "\"step\": \"0\"", "\"stepp\": \"0\"");
  text = replaced(text, "\"volts_minimum\": 0.25,", "\"volts_minimum\": 0.25");
  text = replaced(text, "\"dead_band_n\": 15", "\"dead_band_n\": 15, \"dead_band_n\": 16");
  const auto faults = faults_of(text, "c.json");
  ASSERT_THAT(faults, ElementsAre(testing::Field(&Fault::address, "hand_control.track_b.mm_per_volt"),
                                  testing::Field(&Fault::address, "hand_control.dead_band_mm"),
                                  testing::Field(&Fault::address, "pedal.dead_band_n"),
                                  testing::Field(&Fault::address, "balance.stepp"),
                                  testing::Field(&Fault::address, "supervision.volts_minimum")));
  EXPECT_THAT(faults[0].text, HasSubstr("steep is no number"));
  EXPECT_THAT(faults[1].text, HasSubstr("150 mm is above the allowed 0 to 20 mm"));
  EXPECT_THAT(faults[2].text, HasSubstr("is given twice"));
  EXPECT_THAT(faults[4].text, HasSubstr("comma"));
  for (const Fault& fault : faults) EXPECT_GT(fault.line, 0);
}

TEST(ParseJson, NoJsonAtAll) {
  EXPECT_THAT(faults_of("", "c.json"), ElementsAre(IsFault(1, "", "the document is empty")));
  EXPECT_THAT(faults_of("[1, 2]", "c.json"), testing::Not(testing::IsEmpty()));
  EXPECT_THAT(faults_of("name: \"text format\"", "c.json"), testing::Not(testing::IsEmpty()));
  EXPECT_THAT(faults_of("{\"name\": \"a\"", "c.json"),
              testing::Contains(IsFault(1, "", "is not closed; add '}'")));
}

}  // namespace
}  // namespace brakeward::document
