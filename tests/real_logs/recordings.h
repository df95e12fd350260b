// Where the real logs are.
#pragma once

#include <cstdlib>
#include <filesystem>

#include "gate/check.h"
#include "gate/fit.h"

// The folder named in BRAKEWARD_RECORDINGS, or a visible skip.
#define BRAKEWARD_NEEDS_RECORDINGS()                                                                     \
  if (std::getenv("BRAKEWARD_RECORDINGS") == nullptr)                                                    \
  GTEST_SKIP() << "set BRAKEWARD_RECORDINGS to a folder with single-seater/ and autonomous-open-wheel/ " \
                  "in it to replay logs of real cars"

namespace brakeward::real_logs {

inline std::filesystem::path library(const char* name) {
  return std::filesystem::path(BRAKEWARD_SOURCE_DIR) / "scenarios" / name;
}

inline gate::FitOptions fit_options(const char* name) {
  gate::FitOptions o;
  o.library = library(name);
  o.load.recordings_folder = std::getenv("BRAKEWARD_RECORDINGS");
  o.sensitivity = false;
  return o;
}

// The library checked with the one calibration it has.
inline absl::StatusOr<verdict::Run> check(const char* name) {
  gate::Options o;
  o.library = library(name);
  o.calibration = o.library / "calibrations/bypassed.textproto";
  o.load.recordings_folder = std::getenv("BRAKEWARD_RECORDINGS");
  gate::CheckOptions how;
  how.threads = 1;
  return gate::check(o, how);
}

}  // namespace brakeward::real_logs
