// Drift over the event builds of a season, all replayed anew.
#pragma once

#include <filesystem>

#include "absl/status/statusor.h"
#include "brakeward/v1/season.pb.h"
#include "gate/check.h"
#include "verdict/drift.h"

namespace brakeward::gate {

struct DriftOptions {
  Options run;  // without calibration and baseline: the season names its builds
  std::filesystem::path season;
  int threads = 0;  // 0: one per core
};

// Replays the whole library, campaigns and stints too, with the calibration of every build, each content
// once, and adds up what changed from build to build. Delays are timed against the first build's feel curve.
// InvalidArgument lists every fault of every document, one a line: besides what a check refuses a build whose
// calibration the library does not have, a day that is none or goes backwards, a drift tolerance for an
// unknown measure, without size or with two.
absl::StatusOr<verdict::Drift> drift(const DriftOptions& options);

v1::Drift to_message(const verdict::Drift& drift);

}  // namespace brakeward::gate
