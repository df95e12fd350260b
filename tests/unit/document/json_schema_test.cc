// The JSON Schema of every document type. Reference: JSON Schema draft 2020-12 (the keywords are read by an
// independent validator in tests/end_to_end/ci_outputs).
#include "document/json_schema.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cctype>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <set>

#include "document/describe.h"
#include "document/schema.h"
#include "files.h"

namespace brakeward::document {
namespace {

using Json = nlohmann::ordered_json;
using google::protobuf::Descriptor;

Json schema_of(const std::string& name) {
  return Json::parse(json_schema(*find_type(name)));
}

// "tolerance_set" of ToleranceSet.
std::string snake(const std::string& name) {
  std::string out;
  for (const char c : name) {
    if (std::isupper(static_cast<unsigned char>(c)) && !out.empty()) out += '_';
    out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  }
  return out;
}

TEST(JsonSchema, PublishedFilesAreWhatTheProgramPrints) {
  const std::filesystem::path folder = std::filesystem::path(BRAKEWARD_SOURCE_DIR) / "proto/brakeward/schema";
  std::set<std::string> wanted;
  for (const Descriptor* type : document_types()) {
    const std::string name = snake(type->name());
    const std::filesystem::path path = folder / (name + ".schema.json");
    wanted.insert(path.filename());
    EXPECT_TRUE(tests::read_file(path) == json_schema(type))
        << path << " is out of date; write it anew with `brakeward describe " << name << " --json-schema`";
  }
  std::set<std::string> there;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) there.insert(entry.path().filename());
  EXPECT_EQ(there, wanted);
}

TEST(JsonSchema, NumbersCarryRangeUnitDefaultAndMeaning) {
  const Json hand = schema_of("calibration")["$defs"]["HandControl"];
  EXPECT_EQ(
      hand["properties"]["hysteresis_mm"].dump(),
      R"({"type":"number","minimum":0,"maximum":5,"description":"Play between travel and shaped travel )"
      R"(that suppresses jitter.","x-unit":"mm","default":0,"examples":[0.2]})");
  const Json::array_t& required = hand["required"].get_ref<const Json::array_t&>();
  EXPECT_THAT(required, testing::Contains(Json("dead_band_mm")));
  EXPECT_THAT(required, testing::Not(testing::Contains(Json("hysteresis_mm")))) << "it has a default";
  EXPECT_EQ(hand["additionalProperties"], false);
  EXPECT_EQ(hand["properties"]["effort_grades"]["minItems"], 1);
}

TEST(JsonSchema, CurvesCarryTheAxesOfTheirField) {
  const Json feel = schema_of("calibration")["$defs"]["Pedal"]["properties"]["feel"];
  EXPECT_EQ(feel["x-order"], "y must not fall");
  const Json points = feel["properties"]["points"];
  EXPECT_EQ(points["maxItems"], 16);
  EXPECT_EQ(points["items"]["properties"]["x"]["x-unit"], "N");
  EXPECT_EQ(points["items"]["properties"]["x"]["maximum"], 3000);
  EXPECT_EQ(points["items"]["properties"]["y"]["x-unit"], "bar");
  EXPECT_EQ(points["items"]["required"], Json::array({"x", "y"}));
}

TEST(JsonSchema, WordsAreTextAndARequiredOneIsSaid) {
  const Json scenario = schema_of("scenario");
  const Json words = scenario["properties"]["end_rule"]["enum"];
  EXPECT_EQ(words, Json::array({"END_RULE_STANDSTILL", "END_RULE_END_OF_INPUT"}));
  EXPECT_EQ(schema_of("run")["properties"]["verdict"]["enum"][0], "VERDICT_UNSPECIFIED");
  EXPECT_EQ(scenario["allOf"].dump(),
            R"([{"oneOf":[{"required":["recorded"]},{"required":["synthetic"]},{"required":["stated"]}]}])");
}

TEST(JsonSchema, OnlyARunMayHoldWhatIsNotFinite) {
  const Json value = schema_of("run")["$defs"]["MeasureResult"]["properties"]["value"];
  EXPECT_EQ(value["anyOf"][1]["enum"], Json::array({"NaN", "Infinity", "-Infinity"}));
  EXPECT_EQ(value["x-unit"], "measure's unit");
  for (const Descriptor* type : document_types()) {
    if (type->name() == "Run") continue;
    EXPECT_THAT(json_schema(type), testing::Not(testing::HasSubstr("Infinity"))) << type->name();
  }
}

// Every block that is referred to is defined, and every definition is a closed object with described members.
TEST(JsonSchema, StandsOnItsOwn) {
  const auto check = [](const std::string& name, const Json& block) {
    EXPECT_EQ(block["type"], "object") << name;
    EXPECT_EQ(block["additionalProperties"], false) << name;
    for (const auto& [field, member] : block["properties"].items())
      EXPECT_TRUE(member.contains("description")) << name << "." << field;
  };
  for (const Descriptor* type : document_types()) {
    const Json schema = Json::parse(json_schema(type));
    check(type->name(), schema);
    EXPECT_EQ(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    EXPECT_EQ(schema["title"], type->full_name());
    const Json definitions = schema.value("$defs", Json::object());
    for (const auto& [name, block] : definitions.items()) check(name, block);
    const std::string text = schema.dump();
    const std::string mark = "\"#/$defs/";
    for (size_t at = text.find(mark); at != std::string::npos; at = text.find(mark, at + 1)) {
      const size_t begin = at + mark.size();
      EXPECT_TRUE(definitions.contains(text.substr(begin, text.find('"', begin) - begin))) << type->name();
    }
  }
}

}  // namespace
}  // namespace brakeward::document
