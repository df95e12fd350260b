// What the documents of a library must agree on about the driver: whom he follows, how he steers, how feel is
// read.
#pragma once

#include <string>

#include "brakeward/v1/calibration.pb.h"
#include "brakeward/v1/scenario.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "document/fault.h"

namespace brakeward::scenario {

// Adds every fault of a scenario's driver that shows beside the vehicle; `file` is the scenario's.
void check_driver(const v1::Scenario& scenario, const v1::Vehicle& vehicle, const std::string& file,
                  document::Faults& faults);

// Adds a fault where a calibration takes off a shift of the hand control that the vehicle does not have.
void check_compensation(const v1::Calibration& calibration, const v1::Vehicle& vehicle,
                        const std::string& file, document::Faults& faults);

}  // namespace brakeward::scenario
