// One scenario's folds to its result. Internal to the gate.
#pragma once

#include "gate/session.h"
#include "measure/folds.h"

namespace brakeward::gate {

// What was replayed of a scenario.
struct ReplayedScenario {
  const scenario::Loaded<v1::Scenario>* scenario = nullptr;
  const compile::CompiledScenario* candidate = nullptr;
  const measure::Folds<double>* candidate_folds = nullptr;
  // Under the calibration that was on the car: the candidate's own where that is the same one.
  const compile::CompiledScenario* on_car = nullptr;
  const measure::Folds<double>* on_car_folds = nullptr;
  const v1::Calibration* fitted = nullptr;  // that calibration; null where none is known
};

// Compares with the session's baseline.
verdict::ScenarioResult judge(const Session& session, const ReplayedScenario& replayed);

}  // namespace brakeward::gate
