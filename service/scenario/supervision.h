// What a calibration's supervision, accelerator overlap and power-up say: fields that only make sense
// together, or on a car that has the part.
#pragma once

#include <string>

#include "brakeward/v1/calibration.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "document/fault.h"

namespace brakeward::scenario {

// Adds every fault; the calibration is within its schema.
void check_supervision(const v1::Calibration& calibration, const v1::Vehicle& vehicle,
                       const std::string& file, document::Faults& faults);

}  // namespace brakeward::scenario
