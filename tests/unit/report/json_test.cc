// Reference: protobuf's own JSON parser reading the text as brakeward.v1.Run; it wins on disagreement.
#include "report/json.h"

#include <google/protobuf/util/json_util.h>
#include <gtest/gtest.h>

#include <cctype>
#include <cmath>
#include <cstring>
#include <limits>
#include <nlohmann/json.hpp>
#include <random>

#include "brakeward/v1/run.pb.h"
#include "unit/report/outside_reader.h"
#include "unit/report/sample_run.h"
#include "verdict/tolerance.h"

namespace brakeward::report {
namespace {

v1::Run parsed(const verdict::Run& run) {
  v1::Run message;
  google::protobuf::util::JsonParseOptions strict;
  strict.ignore_unknown_fields = false;
  const auto status = google::protobuf::util::JsonStringToMessage(render_json(run), &message, strict);
  EXPECT_TRUE(status.ok()) << status;
  return message;
}

bool same_bits(double a, double b) {
  return std::memcmp(&a, &b, sizeof a) == 0;
}

// The sample run with every field filled in.
verdict::Run full_run() {
  verdict::Run run = sample_run();
  run.run_id = "run-7";
  run.finished_at = "2026-01-02T03:04:05Z";
  run.event_build = "spring_3";
  run.tier = verdict::Tier::kAll;
  run.build_sheet = {{"pads", "compound A, bedded"}};
  run.build_sheet_differences = {{"corrie_dry_60", "pads", "compound B", "compound A, bedded"}};
  run.baseline_proposed_only = true;
  return run;
}

TEST(Json, HeadReadsBackThroughProtobuf) {
  const verdict::Run run = sample_run();
  const v1::Run message = parsed(run);
  EXPECT_EQ(message.calibration_name(), run.calibration_name);
  EXPECT_EQ(message.calibration_sha256(), run.calibration_sha256);
  EXPECT_EQ(message.vehicle_name(), run.vehicle_name);
  EXPECT_EQ(message.vehicle_sha256(), run.vehicle_sha256);
  EXPECT_EQ(message.library_name(), run.library_name);
  EXPECT_EQ(message.baseline_event_build(), run.baseline_event_build);
  EXPECT_FALSE(message.baseline_proposed_only());
  EXPECT_EQ(message.state(), v1::RUN_STATE_COMPLETED);
  EXPECT_EQ(message.verdict(), v1::VERDICT_ERROR);
  EXPECT_EQ(message.numerics_version(), run.numerics_version);
  EXPECT_EQ(message.result_sha256(), run.result_sha256);
  EXPECT_EQ(message.duration_s(), run.duration_s);
  EXPECT_EQ(message.replayed_s(), run.replayed_s);
  EXPECT_EQ(message.caution(), verdict::caution());
}

TEST(Json, WhatAServiceAddsReadsBackAndIsLeftOutWhenEmpty) {
  verdict::Run run = full_run();
  const v1::Run message = parsed(run);
  EXPECT_EQ(message.run_id(), run.run_id);
  EXPECT_EQ(message.finished_at(), run.finished_at);
  EXPECT_EQ(message.event_build(), run.event_build);
  ASSERT_GT(message.calibration_changes_size(), 0);
  ASSERT_EQ(message.calibration_changes_size(), static_cast<int>(run.calibration_changes.size()));
  for (int i = 0; i < message.calibration_changes_size(); ++i) {
    const verdict::CalibrationChange& change = run.calibration_changes[static_cast<size_t>(i)];
    EXPECT_EQ(message.calibration_changes(i).address(), change.address);
    EXPECT_EQ(message.calibration_changes(i).before(), change.before);
    EXPECT_EQ(message.calibration_changes(i).after(), change.after);
  }
  run.run_id = run.finished_at = run.event_build = "";
  run.calibration_changes.clear();
  const std::string bare = render_json(run);
  for (const char* field : {"run_id", "finished_at", "\"event_build", "calibration_changes"}) {
    EXPECT_EQ(bare.find(field), std::string::npos) << field;
  }
}

void expect_same(bool has, double there, const std::optional<double>& here, const std::string& what) {
  ASSERT_EQ(has, here.has_value()) << what;
  EXPECT_TRUE(!has || same_bits(there, *here)) << what << " " << there;
}

void expect_same(const v1::MeasureResult& there, const verdict::MeasureResult& here) {
  EXPECT_EQ(there.measure(), here.measure);
  EXPECT_EQ(there.unit(),
            measure::catalogue()[static_cast<size_t>(*measure::find_measure(here.measure))].unit);
  expect_same(there.has_value(), there.value(), here.value, here.measure + " value");
  expect_same(there.has_baseline(), there.baseline(), here.baseline, here.measure + " baseline");
  expect_same(there.has_allowed_change(), there.allowed_change(), here.allowed_change,
              here.measure + " allowed");
  expect_same(there.has_tolerance_used(), there.tolerance_used(), here.tolerance_used,
              here.measure + " used");
  EXPECT_EQ(static_cast<int>(there.verdict()), static_cast<int>(here.verdict) + 1);
  EXPECT_EQ(there.reason(), here.reason);
}

TEST(Json, ScenariosReadBackThroughProtobufInLibraryOrder) {
  const verdict::Run run = sample_run();
  const v1::Run message = parsed(run);
  ASSERT_EQ(static_cast<size_t>(message.scenarios_size()), run.scenarios.size());
  for (int i = 0; i < message.scenarios_size(); ++i) {
    const verdict::ScenarioResult& here = run.scenarios[static_cast<size_t>(i)];
    const v1::ScenarioResult& there = message.scenarios(i);
    EXPECT_EQ(there.scenario(), here.scenario);
    EXPECT_EQ(static_cast<int>(there.verdict()), static_cast<int>(here.verdict) + 1);
    EXPECT_EQ(there.reason(), here.reason);
    ASSERT_EQ(static_cast<size_t>(there.measures_size()), here.measures.size());
    for (int k = 0; k < there.measures_size(); ++k) {
      expect_same(there.measures(k), here.measures[static_cast<size_t>(k)]);
    }
    ASSERT_EQ(there.has_reproduction(), here.reproduction.has_value());
    if (!here.reproduction) continue;
    EXPECT_EQ(there.reproduction().calibration_name(), here.reproduction->calibration_name);
    EXPECT_EQ(there.reproduction().deceleration_rms_mps2(), here.reproduction->deceleration_rms_mps2);
    expect_same(there.reproduction().has_pressure_rms_bar(), there.reproduction().pressure_rms_bar(),
                here.reproduction->pressure_rms_bar, "pressure");
    EXPECT_EQ(there.reproduction().longest_departure_s(), here.reproduction->longest_departure_s);
    ASSERT_EQ(static_cast<size_t>(there.reproduction().channels_size()), here.reproduction->channels.size());
    for (size_t i = 0; i < here.reproduction->channels.size(); ++i) {
      const auto& c = there.reproduction().channels(static_cast<int>(i));
      const verdict::ChannelRating& own = here.reproduction->channels[i];
      EXPECT_EQ(c.channel(), own.channel);
      EXPECT_EQ(c.unit(), own.unit);
      expect_same(c.has_rating(), c.rating(), own.rating, "rating");
      EXPECT_EQ(c.corridor(), own.rating ? own.corridor : 0);
      EXPECT_EQ(c.slope(), own.rating ? own.slope : 0);
      EXPECT_EQ(c.rms_error(), own.rms_error);
      EXPECT_EQ(c.peak_error(), own.peak_error);
      EXPECT_EQ(c.reason(), own.reason);
    }
  }
  EXPECT_EQ(message.scenarios(0).scenario_class(), v1::SCENARIO_CLASS_STRAIGHT_DRY);
  EXPECT_EQ(message.scenarios(3).scenario_class(), v1::SCENARIO_CLASS_MEASURED_PRESSURE);
}

// Tier, feel, repetitions and the parts of a stint; what is not there stays unset.
TEST(Json, WhatIsDrawnReadsBackThroughProtobuf) {
  verdict::Run run;
  verdict::ScenarioResult& s = run.scenarios.emplace_back();
  s.tier = verdict::Tier::kEndurance;
  s.feel = {{"hand", "mm", {{0.6, 3.37, 0.1 + 0.2}, {1.2, 5.5, {}}}}, {"pedal", "N", {}}};
  s.repetitions = {{"itself", "stop", 60.1, 81.25, 1.0 / 3}, {"corner", "stop/corner@load", 70, {}, {}}};
  s.stint = verdict::StintResult{{},
                                 {{3, "hairpin", true, 41.5, 7.25, 401.5, 302.5, 61.5, 31.5},
                                  {4, "hairpin", false, {}, {}, 0, 0, 0, 0}}};
  const v1::Run message = parsed(run);
  const v1::ScenarioResult& there = message.scenarios(0);
  EXPECT_EQ(there.tier(), v1::TIER_ENDURANCE);
  ASSERT_EQ(there.feel_size(), 2);
  EXPECT_EQ(there.feel(0).control(), "hand");
  EXPECT_EQ(there.feel(1).unit(), "N");
  ASSERT_EQ(there.feel(0).points_size(), 2);
  EXPECT_TRUE(same_bits(there.feel(0).points(0).released(), 0.1 + 0.2));
  EXPECT_EQ(there.feel(0).points(1).applied(), 5.5);
  EXPECT_FALSE(there.feel(0).points(1).has_released());
  ASSERT_EQ(there.repetitions_size(), 2);
  EXPECT_TRUE(same_bits(there.repetitions(0).deceleration_mps2(), 1.0 / 3));
  EXPECT_EQ(there.repetitions(1).replay(), "stop/corner@load");
  EXPECT_FALSE(there.repetitions(1).has_delay_ms() || there.repetitions(1).has_deceleration_mps2());
  ASSERT_EQ(there.stint().parts_size(), 2);
  EXPECT_TRUE(there.stint().parts(0).compared());
  EXPECT_EQ(there.stint().parts(0).distance_m(), 41.5);
  EXPECT_EQ(there.stint().parts(0).actuator_celsius(), 31.5);
  EXPECT_EQ(there.stint().parts(1).lap(), 4);
  EXPECT_FALSE(there.stint().parts(1).has_distance_m() || there.stint().parts(1).has_deceleration_mps2());
}

// Fails when the schema gains a class, verdict or state that the JSON does not know.
TEST(Json, KnowsEveryEnumValueOfTheSchema) {
  const auto* classes = v1::ScenarioClass_descriptor();
  for (int i = 0; i < classes->value_count(); ++i) {
    const std::string& name = classes->value(i)->name();
    verdict::Run run;
    std::string word = name.substr(std::strlen("SCENARIO_CLASS_"));
    for (char& c : word) c = static_cast<char>(std::tolower(c));
    run.scenarios.emplace_back().scenario_class = word;
    EXPECT_EQ(parsed(run).scenarios(0).scenario_class(), classes->value(i)->number()) << name;
  }
  ASSERT_EQ(v1::Verdict_descriptor()->value_count(), 6);
  ASSERT_EQ(v1::RunState_descriptor()->value_count(), 6);
  ASSERT_EQ(v1::Tier_descriptor()->value_count(), 4);
  for (int i = 0; i < 3; ++i) {
    verdict::Run run;
    run.tier = static_cast<verdict::Tier>(i);
    EXPECT_EQ(parsed(run).tier(), static_cast<v1::Tier>(i + 1));
  }
  for (int i = 0; i < 5; ++i) {
    verdict::Run run;
    run.verdict = static_cast<verdict::Verdict>(i);
    run.state = static_cast<verdict::RunState>(i);
    EXPECT_EQ(parsed(run).verdict(), static_cast<v1::Verdict>(i + 1));
    EXPECT_EQ(parsed(run).state(), static_cast<v1::RunState>(i + 1));
  }
}

TEST(Json, AClassTheSchemaLacksIsUnspecified) {
  verdict::Run run;
  run.scenarios.emplace_back().scenario_class = "moon_landing";
  EXPECT_EQ(parsed(run).scenarios(0).scenario_class(), v1::SCENARIO_CLASS_UNSPECIFIED);
}

// Reference: the jsonschema package of Debian's interpreter.
TEST(Json, FollowsThePublishedJsonSchemaWithNumbersThatAreNotFiniteToo) {
  const std::string python = "/usr/bin/python3 -c ";
  if (!can_run(python + "'import jsonschema'")) GTEST_SKIP() << "python3-jsonschema is not installed";
  const auto is_valid = [&](const std::string& json) {
    const TextFile file(json);
    const std::string program =
        "'import json, jsonschema, sys; s, d = (json.load(open(f)) for f in sys.argv[1:]); "
        "print(jsonschema.Draft202012Validator(s).is_valid(d))' ";
    return output_of(python + program + BRAKEWARD_SOURCE_DIR "/proto/brakeward/schema/run.schema.json " +
                     file.path());
  };
  verdict::Run run = full_run();
  std::vector<verdict::MeasureResult>& measures = run.scenarios[0].measures;
  measures[0].value = std::numeric_limits<double>::quiet_NaN();
  measures[1].value = std::numeric_limits<double>::infinity();
  measures[2].value = -std::numeric_limits<double>::infinity();
  std::string json = render_json(run);
  EXPECT_EQ(is_valid(json), "True");
  EXPECT_EQ(is_valid(json.replace(json.find("\"NaN\""), 5, "\"nan\"")), "False");
}

TEST(Json, FieldsOfTheSchemaAreAllThereInOrder) {
  const auto json = nlohmann::ordered_json::parse(render_json(full_run()));
  const auto* fields = v1::Run::descriptor();
  ASSERT_EQ(json.size(), static_cast<size_t>(fields->field_count()));
  int i = 0;
  for (const auto& [name, value] : json.items()) EXPECT_EQ(name, fields->field(i++)->name());
}

// Any bits that are a number come back as the same bits.
TEST(Json, DoublesReadBackToTheSameBits) {
  std::mt19937_64 bits{11};
  verdict::Run run;
  verdict::ScenarioResult& s = run.scenarios.emplace_back();
  for (const double special : {0.0, -0.0, 0.1, 5e-324, std::numeric_limits<double>::max(), 1.0 / 3}) {
    s.measures.emplace_back().value = special;
  }
  while (s.measures.size() < 3000) {
    const uint64_t raw = bits();
    double value;
    std::memcpy(&value, &raw, sizeof value);
    if (std::isfinite(value)) s.measures.emplace_back().value = value;
  }
  const v1::Run message = parsed(run);
  for (size_t i = 0; i < s.measures.size(); ++i) {
    ASSERT_TRUE(same_bits(message.scenarios(0).measures(static_cast<int>(i)).value(), *s.measures[i].value))
        << i;
  }
}

TEST(Json, WhatIsNotFiniteIsSpelledAsTheProtobufMappingDoes) {
  constexpr double kInfinity = std::numeric_limits<double>::infinity();
  verdict::Run run;
  verdict::MeasureResult& m = run.scenarios.emplace_back().measures.emplace_back();
  m.value = std::numeric_limits<double>::quiet_NaN();
  m.baseline = kInfinity;
  m.allowed_change = -kInfinity;
  m.tolerance_used = verdict::kNothingAllowed;
  run.scenarios[0].reproduction = verdict::Reproduction{"c", kInfinity, {}, 0};
  const v1::Run message = parsed(run);
  const v1::MeasureResult& there = message.scenarios(0).measures(0);
  EXPECT_TRUE(std::isnan(there.value()));
  EXPECT_EQ(there.baseline(), kInfinity);
  EXPECT_EQ(there.allowed_change(), -kInfinity);
  EXPECT_EQ(there.tolerance_used(), 1e12);
  EXPECT_EQ(message.scenarios(0).reproduction().deceleration_rms_mps2(), kInfinity);
}

TEST(Json, HostileTextStaysText) {
  verdict::Run run;
  run.calibration_name = "quote \" back \\ newline \n nul ";
  run.calibration_name.push_back('\0');
  run.library_name = "bad utf-8 \xff\xc0\x80";
  run.scenarios.emplace_back().reason = std::string(100000, '<');
  const v1::Run message = parsed(run);
  EXPECT_EQ(message.calibration_name(), run.calibration_name);
  EXPECT_EQ(message.library_name().find("bad utf-8 \xef\xbf\xbd"), 0u);
  EXPECT_EQ(message.scenarios(0).reason().size(), 100000u);
}

}  // namespace
}  // namespace brakeward::report
