#include "gate/judge.h"

#include <cstdio>

#include "gate/broken.h"
#include "gate/rating.h"

namespace brakeward::gate {
namespace {

std::string seconds(double s) {
  char text[32];
  std::snprintf(text, sizeof text, "%.2f s", s);
  return text;
}

// Whether the scenario may judge: does the model, with the calibration that was on the car, reproduce the
// recording, and does the candidate stay near enough to it for the recorded driver input to mean anything?
verdict::Trust trust_in(const compile::CompiledScenario& compiled, const measure::RecordingErrors& on_car,
                        const measure::RecordingErrors& candidate) {
  verdict::Trust t;
  if (compiled.context.pressure_entry) {
    t.calibration_bypassed = true;
    t.reason = "recorded line pressure bypasses the calibration";
  } else if (on_car.compared && on_car.longest_departure_s > kLongestDeparture) {
    t.inconclusive = true;
    t.reason =
        "with the calibration that was on the car the model departs from the recording by more than 0.5 "
        "m/s^2 for " +
        seconds(on_car.longest_departure_s) + " (allowed " + seconds(kLongestDeparture) +
        "); a recording that matches the vehicle document, or a corrected vehicle document, would settle it";
  } else if (candidate.compared && candidate.longest_departure_s > kLongestDeparture) {
    t.vehicle_inconclusive = true;
    t.reason = "the candidate departs from the recorded deceleration by more than 0.5 m/s^2 for " +
               seconds(candidate.longest_departure_s) +
               "; the driver would have braked differently. A recording with this "
               "calibration would settle it";
  }
  return t;
}

verdict::Tolerance tolerance_of(const v1::MeasureTolerance& t) {
  return {t.measure(), t.effect(),    t.effect_percent() / 100, t.spread_factor(),
          t.floor(),   t.two_sided(), t.not_judged(),           t.source()};
}

// How what was on the car reproduces the recording, channel by channel.
std::vector<verdict::ChannelRating> channels_of(const Session& s, const ReplayedScenario& r) {
  const v1::Scenario& scenario = r.scenario->message;
  if (s.reproduced)
    for (const verdict::ScenarioResult& known : *s.reproduced)
      if (known.scenario == scenario.name() && known.reproduction) return known.reproduction->channels;
  return rate_channels(s, scenario, *r.on_car);
}

verdict::Reproduction reproduction_of(const v1::Calibration& c, const measure::RecordingErrors& e,
                                      std::vector<verdict::ChannelRating> channels) {
  verdict::Reproduction r;
  r.calibration_name = c.name();
  r.channels = std::move(channels);
  r.deceleration_rms_mps2 = e.deceleration_rms_mps2;
  if (e.pressure_compared) r.pressure_rms_bar = e.pressure_rms_bar;
  r.longest_departure_s = e.longest_departure_s;
  return r;
}

verdict::ComparisonInput comparison(const Session& s, const ReplayedScenario& r,
                                    const measure::RecordingErrors& on_car,
                                    const std::vector<verdict::ChannelRating>& channels,
                                    std::vector<measure::MeasureValue> values) {
  const auto& compiled = *r.candidate;
  const v1::Scenario& scenario = r.scenario->message;
  verdict::ComparisonInput input;
  input.values = std::move(values);
  input.baseline = baseline_of(r.baseline);
  input.tolerances = tolerances_of(s.library->tolerances.message, scenario.scenario_class());
  input.limits = limits_of(scenario.limits());
  const auto candidate = measure::recording_errors(*r.candidate_folds, compiled.context.tick_s);
  input.trust = r.fitted ? trust_in(compiled, on_car, candidate) : trust_in(compiled, {}, {});
  if (input.trust.calibration_bypassed || input.trust.inconclusive) return input;
  std::string fault = rating_fault(s.library->tolerances.message, scenario, r.fitted != nullptr, channels);
  if (fault.empty()) return input;
  input.trust.inconclusive = true;
  input.trust.reason = std::move(fault);
  return input;
}

// Which replay beside the scenario's own shows a value that does not pass.
void tell_where_shown(const std::vector<std::string>& shown_in, verdict::ScenarioResult& result) {
  for (size_t i = 0; i < shown_in.size(); ++i) {
    verdict::MeasureResult& m = result.measures[i];
    if (m.verdict < verdict::Verdict::kInconclusive || shown_in[i].empty()) continue;
    m.reason += "; see " + shown_in[i];
  }
}

}  // namespace

std::vector<verdict::Tolerance> tolerances_of(const v1::ToleranceSet& set, v1::ScenarioClass c) {
  std::vector<verdict::Tolerance> out;
  for (const auto& t : set.every_class()) out.push_back(tolerance_of(t));
  for (const auto& cls : set.classes())
    if (cls.scenario_class() == c)
      for (const auto& t : cls.measures()) out.push_back(tolerance_of(t));
  return out;
}

std::vector<verdict::Limit> limits_of(const google::protobuf::RepeatedPtrField<v1::MeasureLimit>& limits) {
  std::vector<verdict::Limit> out;
  for (const v1::MeasureLimit& l : limits) out.push_back({l.measure(), l.minimum(), l.maximum(), l.source()});
  return out;
}

bool shows(const std::vector<measure::MeasureValue>& values, const std::string& measure) {
  const auto at = measure::find_measure(measure);
  return at && values[static_cast<size_t>(*at)].state != measure::MeasureValue::State::kNotApplicable;
}

void judge_aggregate(const Session& session, v1::ScenarioClass scenario_class, const std::string& in_baseline,
                     std::vector<measure::MeasureValue> values, std::vector<verdict::Limit> limits,
                     verdict::ScenarioResult& result) {
  verdict::ComparisonInput input;
  input.values = std::move(values);
  input.baseline = baseline_of(baseline_scenario(*session.library, in_baseline));
  input.tolerances = tolerances_of(session.library->tolerances.message, scenario_class);
  input.limits = std::move(limits);
  verdict::compare(input, result);
  std::erase_if(result.measures, [&](const verdict::MeasureResult& m) {
    return m.verdict == verdict::Verdict::kNone && !shows(input.values, m.measure);
  });
}

void add_values(const std::vector<measure::MeasureValue>& values, const std::vector<double>& spread,
                v1::BaselineScenario* out) {
  for (size_t i = 0; i < values.size(); ++i) {
    if (values[i].state == measure::MeasureValue::State::kNotApplicable) continue;
    v1::BaselineValue* v = out->add_values();
    v->set_measure(std::string(measure::catalogue()[i].name));
    if (values[i].state == measure::MeasureValue::State::kNeverReached)
      v->set_never_reached(true);
    else
      v->set_value(values[i].value);
    if (i < spread.size() && spread[i] > 0) v->set_spread(spread[i]);
  }
}

std::vector<verdict::BaselineValue> baseline_of(const v1::BaselineScenario* b) {
  std::vector<verdict::BaselineValue> out;
  if (!b) return out;
  for (const auto& v : b->values())
    out.push_back(
        {v.measure(), v.never_reached() ? std::nullopt : std::optional<double>(v.value()), v.spread()});
  return out;
}

verdict::ScenarioResult judge(const Session& s, const ReplayedScenario& r) {
  verdict::ScenarioResult result;
  result.scenario = r.scenario->message.name();
  result.scenario_class = scenario::class_word(r.scenario->message.scenario_class());
  result.tier = tier_of(r.scenario->message.tier());
  if (broke(*r.candidate_folds) || broke(*r.on_car_folds)) {
    result.verdict = verdict::Verdict::kError;
    result.reason = broken_story(broke(*r.candidate_folds) ? *r.candidate : *r.on_car);
    return result;
  }
  if (r.variants)
    if (std::string broken = broken_variant(*r.variants, r.variant_folds); !broken.empty()) {
      result.verdict = verdict::Verdict::kError;
      result.reason = std::move(broken);
      return result;
    }
  const double tick_s = r.candidate->context.tick_s;
  const auto on_car = measure::recording_errors(*r.on_car_folds, tick_s);
  std::vector<verdict::ChannelRating> channels;
  if (r.fitted && on_car.compared) channels = channels_of(s, r);
  ScenarioValues values = scenario_values(*r.candidate, *r.candidate_folds, r.variants, r.variant_folds);
  verdict::compare(comparison(s, r, on_car, channels, std::move(values.values)), result);
  tell_where_shown(values.shown_in, result);
  result.feel = std::move(values.feel);
  result.repetitions = std::move(values.repetitions);
  const double end_s = r.candidate_folds->finish_tick * tick_s;
  if (result.reason.empty() && end_s > r.candidate->extrapolated_from_s)
    result.reason = "the last " + seconds(end_s - r.candidate->extrapolated_from_s) +
                    " hold the recorded driver's last input: the car still rolled when it was released";
  if (r.fitted && on_car.compared)
    result.reproduction = reproduction_of(*r.fitted, on_car, std::move(channels));
  return result;
}

}  // namespace brakeward::gate
