// Measures of the balance between the axles and of what the tyres gave. Internal to measure.
#pragma once

#include "measure/collector.h"
#include "measure/measures.h"

namespace brakeward::measure {

void balance_measures(const Folds<double>& folds, const MeasureContext& context, Collector& out);

}  // namespace brakeward::measure
