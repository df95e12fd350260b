// What a calibration's hold at standstill asks of the rest of it.
#pragma once

#include <string>

#include "brakeward/v1/calibration.pb.h"
#include "document/fault.h"

namespace brakeward::scenario {

// Adds every fault; the calibration is within its schema.
void check_hold(const v1::Calibration& calibration, const std::string& file, document::Faults& faults);

}  // namespace brakeward::scenario
