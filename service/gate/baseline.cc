#include "gate/broken.h"
#include "gate/check.h"
#include "gate/session.h"

namespace brakeward::gate {
namespace {

void add_values(const std::vector<measure::MeasureValue>& values, v1::BaselineScenario* out) {
  for (size_t i = 0; i < values.size(); ++i) {
    if (values[i].state == measure::MeasureValue::State::kNotApplicable) continue;
    v1::BaselineValue* v = out->add_values();
    v->set_measure(std::string(measure::catalogue()[i].name));
    if (values[i].state == measure::MeasureValue::State::kNeverReached)
      v->set_never_reached(true);
    else
      v->set_value(values[i].value);
  }
}

absl::Status fill(const Session& s, v1::Baseline* out) {
  std::vector<compile::CompiledScenario> compiled;
  Compiler compiler(s);
  for (const auto& scenario : s.library->scenarios) compiler.add(scenario, s.candidate.message, compiled);
  if (absl::Status status = compiler.status(); !status.ok()) return status;
  std::vector<const replay::ReplayPlan*> plans;
  for (const auto& c : compiled) plans.push_back(&c.plan);
  std::vector<measure::Folds<double>> folds;
  if (absl::Status status = replay::run(plans, {}, folds); !status.ok()) return status;
  std::string faults;
  for (size_t i = 0; i < compiled.size(); ++i) {
    const auto& scenario = s.library->scenarios[i];
    const std::string& name = scenario.message.name();
    if (broke(folds[i])) {
      faults += "scenario " + name + ": " + broken_story(compiled[i]) + "\n";
      continue;
    }
    if (compiled[i].context.pressure_entry) {
      out->add_not_judged(name + ": recorded line pressure bypasses the calibration");
    }
    v1::BaselineScenario* b = out->add_scenarios();
    b->set_scenario(name);
    b->set_scenario_sha256(scenario_sha256(*s.library, scenario));
    add_values(measure::make_measures(folds[i], compiled[i].context), b);
  }
  return faults.empty() ? absl::OkStatus() : absl::FailedPreconditionError(faults);
}

}  // namespace

absl::StatusOr<v1::Baseline> make_baseline(const BaselineOptions& options) {
  Options run = options.run;
  run.load.without_baseline = true;
  auto session = open_session(run);
  if (!session.ok()) return session.status();
  // Delays are timed against the new baseline's own feel curve.
  session->reference = nullptr;
  if (!session->library->calibration_hashed(session->candidate.sha256))
    return absl::FailedPreconditionError(options.run.calibration.string() +
                                         ": not a calibration of the library, so that the baseline would not "
                                         "resolve; list it under calibration_files");
  v1::Baseline out;
  const std::string& own = session->candidate.message.event_build();
  out.set_event_build(options.event_build.empty() ? own : options.event_build);
  if (out.event_build().empty())
    return absl::InvalidArgumentError(options.run.calibration.string() +
                                      ": event_build: empty; name the event build the baseline is for");
  out.set_calibration_sha256(session->candidate.sha256);
  out.set_calibration_name(session->candidate.message.name());
  out.set_vehicle_sha256(session->library->vehicle.sha256);
  out.set_numerics_version(replay::kNumericsVersion);
  out.set_approved_by(options.approved_by);
  out.set_approved_on(options.approved_on);
  out.set_reason(options.reason);
  if (absl::Status status = fill(*session, &out); !status.ok()) return status;
  return out;
}

absl::StatusOr<ReplayOutcome> replay_scenario(const Options& options, const std::string& name) {
  const auto session = open_session(options);
  if (!session.ok()) return session.status();
  return replay_scenario(*session, name);
}

absl::StatusOr<ReplayOutcome> replay_scenario(const Session& session, const std::string& name) {
  if (absl::Status machine = replay::check_machine(); !machine.ok()) return machine;
  std::string known;
  for (const auto& scenario : session.library->scenarios) {
    known += (known.empty() ? "" : ", ") + scenario.message.name();
    if (scenario.message.name() != name) continue;
    const auto compiled = compile_scenario(session, scenario, session.candidate.message);
    if (!compiled.ok()) return compiled.status();
    ReplayOutcome out;
    out.head = head_of(session);
    std::vector<measure::Folds<double>> folds;
    const replay::ReplayPlan* plan = &compiled->plan;
    replay::Options how;
    how.engine = replay::Engine::kScalar;
    if (absl::Status status = replay::run({&plan, 1}, how, folds); !status.ok()) return status;
    out.trace = replay::trace(*plan);
    out.result.scenario = name;
    out.result.scenario_class = scenario::class_word(scenario.message.scenario_class());
    if (broke(folds[0])) {
      out.result.verdict = verdict::Verdict::kError;
      out.result.reason = broken_story(*compiled);
      return out;
    }
    const auto values = measure::make_measures(folds[0], compiled->context);
    for (size_t i = 0; i < values.size(); ++i) {
      verdict::MeasureResult m;
      m.measure = std::string(measure::catalogue()[i].name);
      if (values[i].state == measure::MeasureValue::State::kMeasured) m.value = values[i].value;
      m.reason = std::string(values[i].reason);
      out.result.measures.push_back(std::move(m));
    }
    return out;
  }
  return absl::InvalidArgumentError("no scenario named \"" + name + "\" in the library; it has " + known);
}

}  // namespace brakeward::gate
