// What goes wrong in a scenario: faults, air and knock-back, each with just the fields its kind needs.
#pragma once

#include <string>

#include "brakeward/v1/scenario.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "document/fault.h"

namespace brakeward::scenario {

// Adds every fault of the document itself; the scenario is within its schema.
void check_disturbances(const v1::Scenario& scenario, const v1::Vehicle& vehicle, const std::string& file,
                        document::Faults& faults);

}  // namespace brakeward::scenario
