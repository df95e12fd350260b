// A replay that turned non-finite: an error, never a pass. Internal to the gate.
#pragma once

#include <string>

#include "compile/compile.h"
#include "measure/folds.h"

namespace brakeward::gate {

bool broke(const measure::Folds<double>& folds);

// When it broke, which signals are no number, and the last good values; from a scalar re-run, which gives the
// same bits.
std::string broken_story(const compile::CompiledScenario& scenario);

}  // namespace brakeward::gate
