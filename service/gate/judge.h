// One scenario's folds to its result. Internal to the gate.
#pragma once

#include "gate/variants.h"
#include "verdict/tolerance.h"

namespace brakeward::gate {

// What was replayed of a scenario.
struct ReplayedScenario {
  const scenario::Loaded<v1::Scenario>* scenario = nullptr;
  const compile::CompiledScenario* candidate = nullptr;
  const measure::Folds<double>* candidate_folds = nullptr;
  // Under the calibration that was on the car: the candidate's own where that is the same one.
  const compile::CompiledScenario* on_car = nullptr;
  const measure::Folds<double>* on_car_folds = nullptr;
  const v1::Calibration* fitted = nullptr;         // that calibration; null where none is known
  const v1::BaselineScenario* baseline = nullptr;  // null without one, or where it lacks the scenario
  // Replays of the candidate beside it; null: none.
  const CompiledVariants* variants = nullptr;
  std::span<const measure::Folds<double>> variant_folds = {};
};

// Empty for null.
std::vector<verdict::BaselineValue> baseline_of(const v1::BaselineScenario* b);

// Compares with the baseline.
verdict::ScenarioResult judge(const Session& session, const ReplayedScenario& replayed);

// Tolerances of a class: those for every class, then the class's own, which replace them: the last one for a
// measure counts.
std::vector<verdict::Tolerance> tolerances_of(const v1::ToleranceSet& set, v1::ScenarioClass c);

std::vector<verdict::Limit> limits_of(const google::protobuf::RepeatedPtrField<v1::MeasureLimit>& limits);

// Whether values, in catalogue order, have something to say of a measure.
bool shows(const std::vector<measure::MeasureValue>& values, const std::string& measure);

// Judges what was made of many replays, as a campaign and a stint are, against the baseline's values of
// `in_baseline`. Measures that do not apply are left out of the result, unless a limit or the baseline asks
// for them.
void judge_aggregate(const Session& session, v1::ScenarioClass scenario_class, const std::string& in_baseline,
                     std::vector<measure::MeasureValue> values, std::vector<verdict::Limit> limits,
                     verdict::ScenarioResult& result);

// The values of a replay as a baseline keeps them; `spread` by measure, empty for none.
void add_values(const std::vector<measure::MeasureValue>& values, const std::vector<double>& spread,
                v1::BaselineScenario* out);

}  // namespace brakeward::gate
