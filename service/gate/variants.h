// Replays beside a scenario's own in a run: compiled, and from all their folds to the scenario's values.
// Internal to the gate.
#pragma once

#include <span>

#include "gate/session.h"
#include "measure/folds.h"
#include "verdict/run.h"

namespace brakeward::gate {

struct CompiledVariants {
  std::vector<scenario::Variant> list;
  std::vector<compile::CompiledScenario> compiled;  // one each

  void add_plans(std::vector<const replay::ReplayPlan*>& plans) const;
  size_t count() const { return compiled.size(); }
};

// What cannot be compiled is noted with the compiler; the result is then incomplete.
CompiledVariants compile_variants(const Session& session, const scenario::Loaded<v1::Scenario>& scenario,
                                  const v1::Calibration& calibration, Compiler& compiler);

// By measure, in catalogue order.
struct ScenarioValues {
  std::vector<measure::MeasureValue> values;
  std::vector<std::string> shown_in;  // name of the replay that shows the value; empty for the scenario's own
  std::vector<double> spread;         // over noisy repetitions; 0 without any, or where one lacks the measure
  std::vector<verdict::FeelResult> feel;         // as a run has them
  std::vector<verdict::Repetition> repetitions;  // as a run has them
};

// Of sound folds; `variants` null and `folds` empty where there are none.
ScenarioValues scenario_values(const compile::CompiledScenario& own, const measure::Folds<double>& own_folds,
                               const CompiledVariants* variants,
                               std::span<const measure::Folds<double>> folds);

// The story of the first replay that broke; empty when all are sound.
std::string broken_variant(const CompiledVariants& variants, std::span<const measure::Folds<double>> folds);

}  // namespace brakeward::gate
