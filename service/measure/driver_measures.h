// Measures of a driver who follows a speed, and of feel. Internal to measure.
#pragma once

#include <string_view>
#include <utility>
#include <vector>

#include "measure/measures.h"

namespace brakeward::measure {

// By name, those of this header's subject in the catalogue.
std::vector<std::pair<std::string_view, MeasureValue>> driver_measures(const Folds<double>& folds,
                                                                       const MeasureContext& context);

}  // namespace brakeward::measure
