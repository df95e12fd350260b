// Drives the true car through the model.
#pragma once

#include "absl/status/statusor.h"
#include "brakeward/v1/calibration.pb.h"
#include "brakeward/v1/scenario.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "generator/drives.h"
#include "replay/replay.h"

namespace brakeward::generator {

// Ticks of the drive, every observable. `conditions` gives road, loads, temperatures and faults; documents
// carry resolved defaults.
absl::StatusOr<replay::Trace> run_drive(const Drive& drive, const v1::Vehicle& car,
                                        const v1::Calibration& calibration, const v1::Scenario& conditions);

}  // namespace brakeward::generator
