// Pressure after a step of the request, in a replay. Internal to the sheet.
#pragma once

#include "brakeward/v1/scenario.pb.h"
#include "gate/vehicle_sheet.h"
#include "replay/plan.h"

namespace brakeward::gate {

// Seconds from a step of the request to 90 % of each axle's target; negative when not within
// kResponseLimit_s. `plan` is compiled from `response_scenario`; its pedal path is replaced so that the step
// asks for exactly this mean pressure and the sensors neither scale nor round it.
PerAxle response(replay::ReplayPlan plan, double mean_pressure, const PerAxle& target);

// Takes filter, limits, prefill, feedback and slip limiter out of the controller: the target is commanded as
// it is.
void make_transparent(control::ControlParams<double>& control);

// A step on the pedal from 100 km/h on a level road that the tyres cannot slide on; other fields as the
// schema defaults.
v1::Scenario response_scenario(double cargo_kg);

}  // namespace brakeward::gate
