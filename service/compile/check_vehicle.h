// What the schema cannot say about a car: values that are each in range and together make none.
#pragma once

#include <string>

#include "brakeward/v1/vehicle.pb.h"
#include "document/fault.h"

namespace brakeward::compile {

// Adds a fault for each, `file` as in Fault. The document keeps the schema; defaults are resolved.
//   chassis    the centre of gravity lies between the axles
//   tyres      exactly one of the two forms of the Magic Formula is given, and at every load up to the car's
//              whole weight on one wheel peak friction is above 0, slip stiffness rises with load and a
//              locked wheel still brakes
//   driveline  a differential has wheels to join, motors have a battery and it them, and no motor brakes with
//              more than its peak torque when the accelerator is released
//   brakes     the disc leaves its effective radius on itself, a line has length and bore, thickens no more
//   when
//              warm, water lowers the boiling point, derating ends above where it starts, values that only
//              make sense together are
void check_vehicle(const v1::Vehicle& vehicle, const std::string& file, document::Faults& faults);

}  // namespace brakeward::compile
