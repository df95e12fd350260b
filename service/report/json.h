// The run as JSON, readable by any protobuf JSON parser as brakeward.v1.Run: the field names of
// proto/brakeward/v1/run.proto as written there, enum values by name, unset optionals left out.
#pragma once

#include <string>

#include "verdict/run.h"

namespace brakeward::report {

// Two blanks of indent, fields in the order of their numbers, scenarios in library order, measures as the run
// has them. Run id, time of finish, event build and calibration changes are left out when empty. Doubles read
// back to the same bits; what is not finite is the text "NaN", "Infinity" or
// "-Infinity", which the protobuf JSON mapping defines. Text that is not UTF-8 gets U+FFFD. A scenario class
// the schema does not have is SCENARIO_CLASS_UNSPECIFIED.
std::string render_json(const verdict::Run& run);

}  // namespace brakeward::report
