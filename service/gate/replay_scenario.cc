#include "gate/broken.h"
#include "gate/check.h"
#include "gate/session.h"

namespace brakeward::gate {

absl::StatusOr<ReplayOutcome> replay_scenario(const Options& options, const std::string& name) {
  const auto session = open_session(options);
  if (!session.ok()) return session.status();
  return replay_scenario(*session, name);
}

absl::StatusOr<ReplayOutcome> replay_scenario(const Session& session, const std::string& name) {
  if (absl::Status machine = replay::check_machine(); !machine.ok()) return machine;
  const auto found = find_scenario(session, name);
  if (!found.ok()) return found.status();
  const auto& scenario = found->scenario;
  const auto compiled = compile_scenario(session, scenario, session.candidate.message, found->variation);
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

}  // namespace brakeward::gate
