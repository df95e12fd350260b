// Cross references between the documents of a library.
#pragma once

#include "scenario/library.h"

namespace brakeward::scenario {

// Adds a fault for every name that does not resolve, is used twice or disagrees.
void check_references(const Library& library, document::Faults& faults);

// The same for a calibration from outside the library: it must belong to the car and have every balance step
// and effort grade the scenarios choose.
void check_calibration(const Library& library, const Loaded<v1::Calibration>& calibration,
                       document::Faults& faults);

}  // namespace brakeward::scenario
