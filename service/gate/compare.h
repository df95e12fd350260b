// Another car with another calibration: what of the difference is hardware, what is calibration.
#pragma once

#include <filesystem>

#include "absl/status/statusor.h"
#include "brakeward/v1/comparison.pb.h"
#include "gate/check.h"
#include "verdict/comparison.h"

namespace brakeward::gate {

struct CompareOptions {
  Options run;  // library, tier; `calibration` is the new one, the vehicle the old car's
  std::filesystem::path new_vehicle;      // document
  std::filesystem::path old_calibration;  // document; empty for the calibration of the library's baseline
  int threads = 0;                        // 0: one per core
};

// Three runs of the library. Delays are timed against the old calibration's feel curve in all of them.
// InvalidArgument lists every fault of every document, one a line: besides what a check refuses a library
// without a baseline where no old calibration is named, a vehicle of another name, documents that are the
// same. FailedPrecondition for a replay of the old calibration on the old car that breaks.
absl::StatusOr<verdict::HardwareComparison> compare_hardware(const CompareOptions& options);

v1::HardwareComparison to_message(const verdict::HardwareComparison& comparison);

}  // namespace brakeward::gate
