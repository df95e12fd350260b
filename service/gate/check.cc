#include "gate/check.h"

#include <chrono>
#include <cmath>

#include "gate/broken.h"
#include "gate/session.h"
#include "verdict/tolerance.h"

namespace brakeward::gate {
namespace {

// The plans of a run: per scenario the candidate's and, where another calibration was on the car, that one's.
struct Plans {
  std::vector<compile::CompiledScenario> candidate;
  std::vector<compile::CompiledScenario> on_car;    // in scenario order, only where needed
  std::vector<int> on_car_of;                       // scenario -> position in on_car, or -1
  std::vector<const v1::Calibration*> calibration;  // scenario -> what was on the car, or null
};

const scenario::Loaded<v1::Calibration>* on_the_car(const Session& s, const v1::Scenario& scenario) {
  if (!scenario.has_recorded()) return nullptr;
  const auto* recording = s.library.recording_named(scenario.recorded().recording());
  return s.library.calibration_named(recording->message.calibration());
}

absl::StatusOr<Plans> compile_all(const Session& s) {
  Plans plans;
  Compiler compiler(s);
  for (const auto& scenario : s.library.scenarios) {
    compiler.add(scenario, s.candidate.message, plans.candidate);
    const auto* fitted = on_the_car(s, scenario.message);
    plans.calibration.push_back(fitted ? &fitted->message : nullptr);
    const bool other = fitted && fitted->sha256 != s.candidate.sha256;
    plans.on_car_of.push_back(other ? static_cast<int>(plans.on_car.size()) : -1);
    if (other) compiler.add(scenario, fitted->message, plans.on_car);
  }
  if (absl::Status status = compiler.status(); !status.ok()) return status;
  return plans;
}

struct Replayed {
  std::vector<measure::Folds<double>> candidate, on_car;
  double seconds = 0;
};

absl::StatusOr<Replayed> replay_all(const Plans& plans, const Options& options) {
  std::vector<const compile::CompiledScenario*> all;
  for (const auto& c : plans.candidate) all.push_back(&c);
  for (const auto& c : plans.on_car) all.push_back(&c);
  const auto folds = replay_compiled(all, options);
  if (!folds.ok()) return folds.status();
  Replayed out;
  for (size_t i = 0; i < all.size(); ++i) out.seconds += (*folds)[i].finish_tick * all[i]->context.tick_s;
  const auto split = folds->begin() + static_cast<long>(plans.candidate.size());
  out.candidate.assign(folds->begin(), split);
  out.on_car.assign(split, folds->end());
  return out;
}

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

// Those for every class, then the class's own, which replace them: the last one for a measure counts.
std::vector<verdict::Tolerance> tolerances_of(const v1::ToleranceSet& set, v1::ScenarioClass c) {
  std::vector<verdict::Tolerance> out;
  for (const auto& t : set.every_class()) out.push_back(tolerance_of(t));
  for (const auto& cls : set.classes())
    if (cls.scenario_class() == c)
      for (const auto& t : cls.measures()) out.push_back(tolerance_of(t));
  return out;
}

std::vector<verdict::BaselineValue> baseline_of(const v1::BaselineScenario* b) {
  std::vector<verdict::BaselineValue> out;
  if (!b) return out;
  for (const auto& v : b->values())
    out.push_back(
        {v.measure(), v.never_reached() ? std::nullopt : std::optional<double>(v.value()), v.spread()});
  return out;
}

verdict::Reproduction reproduction_of(const v1::Calibration& c, const measure::RecordingErrors& e) {
  verdict::Reproduction r;
  r.calibration_name = c.name();
  r.deceleration_rms_mps2 = e.deceleration_rms_mps2;
  if (e.pressure_compared) r.pressure_rms_bar = e.pressure_rms_bar;
  r.longest_departure_s = e.longest_departure_s;
  return r;
}

verdict::ScenarioResult judge(const Session& s, size_t i, const Plans& plans, const Replayed& replayed) {
  const auto& scenario = s.library.scenarios[i];
  const auto& compiled = plans.candidate[i];
  const auto& folds = replayed.candidate[i];
  const auto& fitted =
      plans.on_car_of[i] < 0 ? folds : replayed.on_car[static_cast<size_t>(plans.on_car_of[i])];
  verdict::ScenarioResult result;
  if (broke(folds) || broke(fitted)) {
    const size_t at = static_cast<size_t>(plans.on_car_of[i]);
    result.verdict = verdict::Verdict::kError;
    result.reason = broken_story(broke(folds) ? compiled : plans.on_car[at]);
  } else {
    const auto errors = measure::recording_errors(fitted, compiled.context.tick_s);
    verdict::ComparisonInput input;
    input.values = measure::make_measures(folds, compiled.context);
    input.baseline = baseline_of(baseline_scenario(s.library, scenario.message.name()));
    input.tolerances = tolerances_of(s.library.tolerances.message, scenario.message.scenario_class());
    for (const auto& l : scenario.message.limits())
      input.limits.push_back({l.measure(), l.minimum(), l.maximum(), l.source()});
    const bool known = plans.calibration[i] != nullptr;
    input.trust = trust_in(
        compiled, known ? errors : measure::RecordingErrors{},
        known ? measure::recording_errors(folds, compiled.context.tick_s) : measure::RecordingErrors{});
    verdict::compare(input, result);
    const double end_s = folds.finish_tick * compiled.context.tick_s;
    if (result.reason.empty() && end_s > compiled.extrapolated_from_s)
      result.reason = "the last " + seconds(end_s - compiled.extrapolated_from_s) +
                      " hold the recorded driver's last input: the car still rolled when it was released";
    if (known && errors.compared) result.reproduction = reproduction_of(*plans.calibration[i], errors);
  }
  result.scenario = scenario.message.name();
  result.scenario_class = scenario::class_word(scenario.message.scenario_class());
  return result;
}

}  // namespace

absl::StatusOr<verdict::Run> check(const Options& options) {
  const auto began = std::chrono::steady_clock::now();
  const auto session = open_session(options);
  if (!session.ok()) return session.status();
  if (absl::Status status = check_baseline(*session); !status.ok()) return status;
  const auto plans = compile_all(*session);
  if (!plans.ok()) return plans.status();
  const auto replayed = replay_all(*plans, options);
  if (!replayed.ok()) return replayed.status();
  verdict::Run run;
  run.calibration_name = session->candidate.message.name();
  run.calibration_sha256 = session->candidate.sha256;
  run.vehicle_name = session->library.vehicle.message.name();
  run.vehicle_sha256 = session->library.vehicle.sha256;
  run.library_name = session->library.index.name();
  const auto& baseline = session->library.baseline;
  if (baseline) run.baseline_event_build = baseline->message.event_build();
  run.numerics_version = replay::kNumericsVersion;
  for (size_t i = 0; i < session->library.scenarios.size(); ++i)
    run.scenarios.push_back(judge(*session, i, *plans, *replayed));
  run.state = verdict::RunState::kCompleted;
  verdict::conclude(run);
  run.replayed_s = replayed->seconds;
  run.result_sha256 = verdict::result_sha256(run);
  run.duration_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
  return run;
}

}  // namespace brakeward::gate
