#include "gate/run_message.h"

#include "absl/strings/ascii.h"
#include "gate/build_sheet.h"
#include "measure/catalogue.h"
#include "scenario/library.h"

namespace brakeward::gate {
namespace {

std::string schema_word(const char* prefix, const std::string& word) {
  return prefix + absl::AsciiStrToUpper(word);
}

v1::RunState to_state(verdict::RunState s) {
  v1::RunState out = v1::RUN_STATE_UNSPECIFIED;
  v1::RunState_Parse(schema_word("RUN_STATE_", word(s)), &out);
  return out;
}

v1::MeasureResult to_message(const verdict::MeasureResult& m) {
  v1::MeasureResult out;
  out.set_measure(m.measure);
  if (const auto at = measure::find_measure(m.measure))
    out.set_unit(std::string(measure::catalogue()[static_cast<size_t>(*at)].unit));
  if (m.value) out.set_value(*m.value);
  if (m.baseline) out.set_baseline(*m.baseline);
  if (m.allowed_change) out.set_allowed_change(*m.allowed_change);
  if (m.tolerance_used) out.set_tolerance_used(*m.tolerance_used);
  out.set_verdict(to_verdict(m.verdict));
  out.set_reason(m.reason);
  return out;
}

// Finds the plain word whose schema word this is; enums here are small.
template <class Plain, class Schema>
bool from_enum(Schema wanted, Schema (*to)(Plain), Plain last, Plain& out) {
  for (int i = 0; i <= static_cast<int>(last); ++i)
    if (to(static_cast<Plain>(i)) == wanted) {
      out = static_cast<Plain>(i);
      return true;
    }
  return false;
}

absl::Status unknown(const std::string& where, const char* what, int number) {
  return absl::InvalidArgumentError(where + ": " + what + " " + std::to_string(number) +
                                    " is not known to this program; it was made by another version");
}

absl::Status read_verdict(v1::Verdict v, const std::string& where, verdict::Verdict& out) {
  return from_enum(v, to_verdict, verdict::Verdict::kError, out) ? absl::OkStatus()
                                                                 : unknown(where, "verdict", v);
}

std::optional<double> maybe(bool has, double value) {
  return has ? std::optional<double>(value) : std::nullopt;
}

absl::Status read(const v1::MeasureResult& m, const std::string& where, verdict::MeasureResult& out) {
  out.measure = m.measure();
  out.value = maybe(m.has_value(), m.value());
  out.baseline = maybe(m.has_baseline(), m.baseline());
  out.allowed_change = maybe(m.has_allowed_change(), m.allowed_change());
  out.tolerance_used = maybe(m.has_tolerance_used(), m.tolerance_used());
  out.reason = m.reason();
  return read_verdict(m.verdict(), where + ".measures[\"" + m.measure() + "\"]", out.verdict);
}

v1::CampaignResult to_message(const verdict::CampaignResult& c) {
  v1::CampaignResult out;
  if (c.fault_tolerant_time_ms) out.set_fault_tolerant_time_ms(*c.fault_tolerant_time_ms);
  for (const verdict::FaultResult& f : c.faults) {
    v1::FaultResult* fault = out.add_faults();
    fault->set_name(f.fault);
    fault->set_replays(f.replays);
    fault->set_worst_replay(f.worst_replay);
    fault->set_verdict(to_verdict(f.verdict));
    fault->set_reason(f.reason);
    for (const auto& m : f.measures) *fault->add_measures() = to_message(m);
  }
  return out;
}

absl::Status read(const v1::CampaignResult& c, const std::string& where, verdict::CampaignResult& out) {
  out.fault_tolerant_time_ms = maybe(c.has_fault_tolerant_time_ms(), c.fault_tolerant_time_ms());
  for (const v1::FaultResult& f : c.faults()) {
    const std::string at = where + ".campaign.faults[\"" + f.name() + "\"]";
    verdict::FaultResult& fault = out.faults.emplace_back();
    fault.fault = f.name();
    fault.replays = f.replays();
    fault.worst_replay = f.worst_replay();
    fault.reason = f.reason();
    if (absl::Status status = read_verdict(f.verdict(), at, fault.verdict); !status.ok()) return status;
    for (const v1::MeasureResult& m : f.measures())
      if (absl::Status status = read(m, at, fault.measures.emplace_back()); !status.ok()) return status;
  }
  return absl::OkStatus();
}

v1::StintResult to_message(const verdict::StintResult& s) {
  v1::StintResult out;
  for (const verdict::StintLap& l : s.laps) {
    v1::StintLap* lap = out.add_laps();
    lap->set_lap(l.lap);
    lap->set_at_pace(l.at_pace);
    lap->set_braking_distance_m(l.braking_distance_m);
    lap->set_front_disc_celsius(l.front_disc_celsius);
    lap->set_rear_disc_celsius(l.rear_disc_celsius);
    lap->set_fluid_celsius(l.fluid_celsius);
    if (l.boiling_margin_kelvin) lap->set_boiling_margin_kelvin(*l.boiling_margin_kelvin);
    lap->set_actuator_celsius(l.actuator_celsius);
  }
  for (const verdict::StintPart& p : s.parts) {
    v1::StintPart* part = out.add_parts();
    part->set_lap(p.lap);
    part->set_scenario(p.scenario);
    part->set_compared(p.compared);
    if (p.distance_m) part->set_distance_m(*p.distance_m);
    if (p.deceleration_mps2) part->set_deceleration_mps2(*p.deceleration_mps2);
    part->set_front_disc_celsius(p.front_disc_celsius);
    part->set_rear_disc_celsius(p.rear_disc_celsius);
    part->set_fluid_celsius(p.fluid_celsius);
    part->set_actuator_celsius(p.actuator_celsius);
  }
  return out;
}

verdict::StintResult read(const v1::StintResult& s) {
  verdict::StintResult out;
  for (const v1::StintLap& l : s.laps())
    out.laps.push_back({l.lap(), l.at_pace(), l.braking_distance_m(), l.front_disc_celsius(),
                        l.rear_disc_celsius(), l.fluid_celsius(),
                        maybe(l.has_boiling_margin_kelvin(), l.boiling_margin_kelvin()),
                        l.actuator_celsius()});
  for (const v1::StintPart& p : s.parts())
    out.parts.push_back({p.lap(), p.scenario(), p.compared(), maybe(p.has_distance_m(), p.distance_m()),
                         maybe(p.has_deceleration_mps2(), p.deceleration_mps2()), p.front_disc_celsius(),
                         p.rear_disc_celsius(), p.fluid_celsius(), p.actuator_celsius()});
  return out;
}

v1::FeelResult to_message(const verdict::FeelResult& f) {
  v1::FeelResult out;
  out.set_control(f.control);
  out.set_unit(f.unit);
  for (const verdict::FeelPoint& p : f.points) {
    v1::FeelPoint* point = out.add_points();
    point->set_deceleration_mps2(p.deceleration_mps2);
    if (p.applied) point->set_applied(*p.applied);
    if (p.released) point->set_released(*p.released);
  }
  return out;
}

verdict::FeelResult read(const v1::FeelResult& f) {
  verdict::FeelResult out{f.control(), f.unit(), {}};
  for (const v1::FeelPoint& p : f.points())
    out.points.push_back(
        {p.deceleration_mps2(), maybe(p.has_applied(), p.applied()), maybe(p.has_released(), p.released())});
  return out;
}

v1::Repetition to_message(const verdict::Repetition& r) {
  v1::Repetition out;
  out.set_kind(r.kind);
  out.set_replay(r.replay);
  out.set_distance_m(r.distance_m);
  if (r.delay_ms) out.set_delay_ms(*r.delay_ms);
  if (r.deceleration_mps2) out.set_deceleration_mps2(*r.deceleration_mps2);
  return out;
}

verdict::Repetition read(const v1::Repetition& r) {
  return {r.kind(), r.replay(), r.distance_m(), maybe(r.has_delay_ms(), r.delay_ms()),
          maybe(r.has_deceleration_mps2(), r.deceleration_mps2())};
}

absl::Status read(const v1::ScenarioResult& s, verdict::ScenarioResult& out) {
  const std::string where = "scenarios[\"" + s.scenario() + "\"]";
  out.scenario = s.scenario();
  if (!v1::ScenarioClass_IsValid(s.scenario_class()) || s.scenario_class() == v1::SCENARIO_CLASS_UNSPECIFIED)
    return unknown(where, "scenario class", s.scenario_class());
  out.scenario_class = scenario::class_word(s.scenario_class());
  out.reason = s.reason();
  if (absl::Status status = read_verdict(s.verdict(), where, out.verdict); !status.ok()) return status;
  for (const v1::MeasureResult& m : s.measures())
    if (absl::Status status = read(m, where, out.measures.emplace_back()); !status.ok()) return status;
  if (s.has_campaign())
    if (absl::Status status = read(s.campaign(), where, out.campaign.emplace()); !status.ok()) return status;
  if (s.has_stint()) out.stint = read(s.stint());
  out.tier = to_tier(s.tier());
  if (!out.tier && s.tier() != v1::TIER_UNSPECIFIED) return unknown(where, "tier", s.tier());
  for (const v1::FeelResult& f : s.feel()) out.feel.push_back(read(f));
  for (const v1::Repetition& r : s.repetitions()) out.repetitions.push_back(read(r));
  if (!s.has_reproduction()) return absl::OkStatus();
  const v1::Reproduction& r = s.reproduction();
  out.reproduction =
      verdict::Reproduction{r.calibration_name(), r.deceleration_rms_mps2(),
                            maybe(r.has_pressure_rms_bar(), r.pressure_rms_bar()), r.longest_departure_s()};
  for (const v1::ChannelRating& c : r.channels())
    out.reproduction->channels.push_back({c.channel(), c.unit(), maybe(c.has_rating(), c.rating()),
                                          c.corridor(), c.phase(), c.magnitude(), c.slope(), c.rms_error(),
                                          c.peak_error(), c.reason()});
  return absl::OkStatus();
}

}  // namespace

v1::ScenarioClass to_class(const std::string& word) {
  v1::ScenarioClass out = v1::SCENARIO_CLASS_UNSPECIFIED;
  v1::ScenarioClass_Parse(schema_word("SCENARIO_CLASS_", word), &out);
  return out;
}

v1::Verdict to_verdict(verdict::Verdict v) {
  v1::Verdict out = v1::VERDICT_UNSPECIFIED;
  v1::Verdict_Parse(schema_word("VERDICT_", word(v)), &out);
  return out;
}

v1::Tier to_message(verdict::Tier tier) {
  v1::Tier out = v1::TIER_UNSPECIFIED;
  v1::Tier_Parse(schema_word("TIER_", verdict::word(tier)), &out);
  return out;
}

std::optional<verdict::Tier> to_tier(v1::Tier tier) {
  verdict::Tier out = verdict::Tier::kGate;
  if (!from_enum<verdict::Tier>(tier, to_message, verdict::Tier::kAll, out)) return std::nullopt;
  return out;
}

v1::ScenarioResult to_message(const verdict::ScenarioResult& s) {
  v1::ScenarioResult out;
  out.set_scenario(s.scenario);
  out.set_scenario_class(to_class(s.scenario_class));
  out.set_verdict(to_verdict(s.verdict));
  out.set_reason(s.reason);
  for (const auto& m : s.measures) *out.add_measures() = to_message(m);
  if (s.campaign) *out.mutable_campaign() = to_message(*s.campaign);
  if (s.stint) *out.mutable_stint() = to_message(*s.stint);
  if (s.tier) out.set_tier(to_message(*s.tier));
  for (const auto& f : s.feel) *out.add_feel() = to_message(f);
  for (const auto& r : s.repetitions) *out.add_repetitions() = to_message(r);
  if (!s.reproduction) return out;
  v1::Reproduction* r = out.mutable_reproduction();
  r->set_calibration_name(s.reproduction->calibration_name);
  r->set_deceleration_rms_mps2(s.reproduction->deceleration_rms_mps2);
  if (s.reproduction->pressure_rms_bar) r->set_pressure_rms_bar(*s.reproduction->pressure_rms_bar);
  r->set_longest_departure_s(s.reproduction->longest_departure_s);
  for (const verdict::ChannelRating& c : s.reproduction->channels) {
    v1::ChannelRating* to = r->add_channels();
    to->set_channel(c.channel);
    to->set_unit(c.unit);
    to->set_rms_error(c.rms_error);
    to->set_peak_error(c.peak_error);
    to->set_reason(c.reason);
    if (!c.rating) continue;
    to->set_rating(*c.rating);
    to->set_corridor(c.corridor);
    to->set_phase(c.phase);
    to->set_magnitude(c.magnitude);
    to->set_slope(c.slope);
  }
  return out;
}

v1::Run to_message(const verdict::Run& run) {
  v1::Run out;
  out.set_run_id(run.run_id);
  out.set_finished_at(run.finished_at);
  out.set_event_build(run.event_build);
  out.set_calibration_name(run.calibration_name);
  out.set_calibration_sha256(run.calibration_sha256);
  out.set_vehicle_name(run.vehicle_name);
  out.set_vehicle_sha256(run.vehicle_sha256);
  out.set_library_name(run.library_name);
  out.set_baseline_event_build(run.baseline_event_build);
  out.set_baseline_proposed_only(run.baseline_proposed_only);
  if (run.tier) out.set_tier(to_message(*run.tier));
  out.set_state(to_state(run.state));
  out.set_verdict(to_verdict(run.verdict));
  for (const auto& c : run.calibration_changes) {
    v1::CalibrationChange* change = out.add_calibration_changes();
    change->set_address(c.address);
    change->set_before(c.before);
    change->set_after(c.after);
  }
  if (!run.build_sheet.empty()) *out.mutable_build_sheet() = to_message(run.build_sheet);
  for (const auto& d : run.build_sheet_differences) {
    v1::BuildSheetDifference* difference = out.add_build_sheet_differences();
    difference->set_recording(d.recording);
    difference->set_field(d.field);
    difference->set_recorded(d.recorded);
    difference->set_fitted(d.fitted);
  }
  for (const auto& s : run.scenarios) *out.add_scenarios() = to_message(s);
  out.set_numerics_version(run.numerics_version);
  out.set_result_sha256(run.result_sha256);
  out.set_duration_s(run.duration_s);
  out.set_replayed_s(run.replayed_s);
  out.set_caution(verdict::caution());
  return out;
}

absl::StatusOr<verdict::ScenarioResult> from_message(const v1::ScenarioResult& message) {
  verdict::ScenarioResult result;
  if (absl::Status status = read(message, result); !status.ok()) return status;
  return result;
}

absl::StatusOr<verdict::Run> from_message(const v1::Run& message) {
  verdict::Run run;
  run.run_id = message.run_id();
  run.finished_at = message.finished_at();
  run.event_build = message.event_build();
  run.calibration_name = message.calibration_name();
  run.calibration_sha256 = message.calibration_sha256();
  run.vehicle_name = message.vehicle_name();
  run.vehicle_sha256 = message.vehicle_sha256();
  run.library_name = message.library_name();
  run.baseline_event_build = message.baseline_event_build();
  run.baseline_proposed_only = message.baseline_proposed_only();
  run.tier = to_tier(message.tier());
  if (!run.tier && message.tier() != v1::TIER_UNSPECIFIED) return unknown("tier", "tier", message.tier());
  if (!from_enum(message.state(), to_state, verdict::RunState::kAborted, run.state))
    return unknown("state", "run state", message.state());
  if (absl::Status status = read_verdict(message.verdict(), "verdict", run.verdict); !status.ok())
    return status;
  for (const auto& c : message.calibration_changes())
    run.calibration_changes.push_back({c.address(), c.before(), c.after()});
  run.build_sheet = lines_of(message.build_sheet());
  for (const auto& d : message.build_sheet_differences())
    run.build_sheet_differences.push_back({d.recording(), d.field(), d.recorded(), d.fitted()});
  for (const auto& s : message.scenarios())
    if (absl::Status status = read(s, run.scenarios.emplace_back()); !status.ok()) return status;
  run.numerics_version = message.numerics_version();
  run.result_sha256 = message.result_sha256();
  run.duration_s = message.duration_s();
  run.replayed_s = message.replayed_s();
  if (const std::string found = verdict::result_sha256(run); found != run.result_sha256)
    return absl::InvalidArgumentError("result_sha256: the run says " + run.result_sha256 +
                                      ", its content has " + found + "; it was changed on the way");
  return run;
}

}  // namespace brakeward::gate
