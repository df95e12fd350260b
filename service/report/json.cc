#include "report/json.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string_view>

#include "absl/strings/ascii.h"
#include "report/order.h"
#include "verdict/concat.h"

namespace brakeward::report {
namespace {

using Json = nlohmann::ordered_json;

// The classes of common.proto; a test compares this list with the schema.
constexpr std::array<std::string_view, 15> kScenarioClasses = {
    "straight_dry", "straight_wet", "split_friction", "snub_series", "downhill",
    "stab",         "fault",        "step",           "ramp",        "measured_pressure",
    "bend",         "hold",         "feel",           "followed",    "stint"};

std::string enum_value(std::string_view prefix, std::string_view word) {
  return verdict::concat(prefix, "_", absl::AsciiStrToUpper(std::string(word)));
}

std::string class_value(std::string_view scenario_class) {
  const bool known =
      std::find(kScenarioClasses.begin(), kScenarioClasses.end(), scenario_class) != kScenarioClasses.end();
  return enum_value("SCENARIO_CLASS", known ? scenario_class : "unspecified");
}

std::string verdict_value(verdict::Verdict v) {
  return enum_value("VERDICT", word(v));
}

Json number(double x) {
  if (std::isnan(x)) return "NaN";
  if (std::isinf(x)) return x > 0 ? "Infinity" : "-Infinity";
  return x;
}

void put(Json& object, const char* field, const std::optional<double>& x) {
  if (x) object[field] = number(*x);
}

void put(Json& object, const char* field, const std::string& text) {
  if (!text.empty()) object[field] = text;
}

Json to_json(const verdict::MeasureResult& m) {
  Json json = Json::object();
  json["measure"] = m.measure;
  json["unit"] = form_of(m.measure).unit;
  put(json, "value", m.value);
  put(json, "baseline", m.baseline);
  put(json, "allowed_change", m.allowed_change);
  put(json, "tolerance_used", m.tolerance_used);
  json["verdict"] = verdict_value(m.verdict);
  put(json, "reason", m.reason);
  return json;
}

Json to_json(const verdict::ChannelRating& c) {
  Json json = Json::object();
  json["channel"] = c.channel;
  json["unit"] = c.unit;
  if (c.rating) {
    json["rating"] = number(*c.rating);
    json["corridor"] = number(c.corridor);
    json["phase"] = number(c.phase);
    json["magnitude"] = number(c.magnitude);
    json["slope"] = number(c.slope);
  }
  json["rms_error"] = number(c.rms_error);
  json["peak_error"] = number(c.peak_error);
  put(json, "reason", c.reason);
  return json;
}

Json to_json(const verdict::Reproduction& r) {
  Json json = Json::object();
  json["calibration_name"] = r.calibration_name;
  json["deceleration_rms_mps2"] = number(r.deceleration_rms_mps2);
  put(json, "pressure_rms_bar", r.pressure_rms_bar);
  json["longest_departure_s"] = number(r.longest_departure_s);
  for (const verdict::ChannelRating& c : r.channels) json["channels"].push_back(to_json(c));
  return json;
}

Json to_json(const verdict::CalibrationChange& c) {
  return {{"address", c.address}, {"before", c.before}, {"after", c.after}};
}

Json to_json(const verdict::CampaignResult& c) {
  Json json = Json::object();
  put(json, "fault_tolerant_time_ms", c.fault_tolerant_time_ms);
  json["faults"] = Json::array();
  for (const verdict::FaultResult& f : c.faults) {
    Json fault = Json::object();
    fault["name"] = f.fault;
    fault["replays"] = f.replays;
    fault["worst_replay"] = f.worst_replay;
    fault["verdict"] = verdict_value(f.verdict);
    put(fault, "reason", f.reason);
    fault["measures"] = Json::array();
    for (const verdict::MeasureResult& m : f.measures) fault["measures"].push_back(to_json(m));
    json["faults"].push_back(std::move(fault));
  }
  return json;
}

Json to_json(const verdict::StintResult& s) {
  Json json = Json::object();
  json["laps"] = Json::array();
  for (const verdict::StintLap& l : s.laps) {
    Json lap = Json::object();
    lap["lap"] = l.lap;
    lap["at_pace"] = l.at_pace;
    lap["braking_distance_m"] = number(l.braking_distance_m);
    lap["front_disc_celsius"] = number(l.front_disc_celsius);
    lap["rear_disc_celsius"] = number(l.rear_disc_celsius);
    lap["fluid_celsius"] = number(l.fluid_celsius);
    put(lap, "boiling_margin_kelvin", l.boiling_margin_kelvin);
    lap["actuator_celsius"] = number(l.actuator_celsius);
    json["laps"].push_back(std::move(lap));
  }
  for (const verdict::StintPart& p : s.parts) {
    Json part = Json::object();
    part["lap"] = p.lap;
    part["scenario"] = p.scenario;
    part["compared"] = p.compared;
    put(part, "distance_m", p.distance_m);
    put(part, "deceleration_mps2", p.deceleration_mps2);
    part["front_disc_celsius"] = number(p.front_disc_celsius);
    part["rear_disc_celsius"] = number(p.rear_disc_celsius);
    part["fluid_celsius"] = number(p.fluid_celsius);
    part["actuator_celsius"] = number(p.actuator_celsius);
    json["parts"].push_back(std::move(part));
  }
  return json;
}

Json to_json(const verdict::FeelResult& f) {
  Json json = {{"control", f.control}, {"unit", f.unit}, {"points", Json::array()}};
  for (const verdict::FeelPoint& p : f.points) {
    Json point = Json::object();
    point["deceleration_mps2"] = number(p.deceleration_mps2);
    put(point, "applied", p.applied);
    put(point, "released", p.released);
    json["points"].push_back(std::move(point));
  }
  return json;
}

Json to_json(const verdict::Repetition& r) {
  Json json = {{"kind", r.kind}, {"replay", r.replay}, {"distance_m", number(r.distance_m)}};
  put(json, "delay_ms", r.delay_ms);
  put(json, "deceleration_mps2", r.deceleration_mps2);
  return json;
}

Json to_json(const verdict::BuildSheetDifference& d) {
  return {{"recording", d.recording}, {"field", d.field}, {"recorded", d.recorded}, {"fitted", d.fitted}};
}

Json to_json(const verdict::ScenarioResult& s) {
  Json json = Json::object();
  json["scenario"] = s.scenario;
  json["scenario_class"] = class_value(s.scenario_class);
  json["verdict"] = verdict_value(s.verdict);
  put(json, "reason", s.reason);
  json["measures"] = Json::array();
  for (const verdict::MeasureResult& m : s.measures) json["measures"].push_back(to_json(m));
  if (s.reproduction) json["reproduction"] = to_json(*s.reproduction);
  if (s.campaign) json["campaign"] = to_json(*s.campaign);
  if (s.stint) json["stint"] = to_json(*s.stint);
  if (s.tier) json["tier"] = enum_value("TIER", word(*s.tier));
  for (const verdict::FeelResult& f : s.feel) json["feel"].push_back(to_json(f));
  for (const verdict::Repetition& r : s.repetitions) json["repetitions"].push_back(to_json(r));
  return json;
}

}  // namespace

std::string render_json(const verdict::Run& run) {
  Json json = Json::object();
  json["calibration_name"] = run.calibration_name;
  json["calibration_sha256"] = run.calibration_sha256;
  json["vehicle_name"] = run.vehicle_name;
  json["vehicle_sha256"] = run.vehicle_sha256;
  json["library_name"] = run.library_name;
  json["baseline_event_build"] = run.baseline_event_build;
  json["state"] = enum_value("RUN_STATE", word(run.state));
  json["verdict"] = verdict_value(run.verdict);
  json["scenarios"] = Json::array();
  for (const verdict::ScenarioResult& s : run.scenarios) json["scenarios"].push_back(to_json(s));
  json["numerics_version"] = run.numerics_version;
  json["result_sha256"] = run.result_sha256;
  json["duration_s"] = number(run.duration_s);
  json["replayed_s"] = number(run.replayed_s);
  json["caution"] = verdict::caution();
  put(json, "run_id", run.run_id);
  put(json, "finished_at", run.finished_at);
  put(json, "event_build", run.event_build);
  for (const verdict::CalibrationChange& c : run.calibration_changes) {
    json["calibration_changes"].push_back(to_json(c));
  }
  if (run.tier) json["tier"] = enum_value("TIER", word(*run.tier));
  for (const verdict::BuildSheetLine& line : run.build_sheet) json["build_sheet"][line.field] = line.value;
  for (const verdict::BuildSheetDifference& d : run.build_sheet_differences) {
    json["build_sheet_differences"].push_back(to_json(d));
  }
  if (run.baseline_proposed_only) json["baseline_proposed_only"] = true;
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace brakeward::report
