// The demo car's logs, made anew from its documents.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "absl/status/statusor.h"

namespace brakeward::generator {

struct NamedLog {
  std::string name;
  std::string csv;
};

// Numerics version the committed logs were made with. Later numerics replay the logs but do not make them
// anew: a log is data, as if a car had made it.
inline constexpr int kLoggedWithNumerics = 1;

// Every log of drives.h, in order. `library` holds vehicle/sorrel.textproto, calibrations/released.textproto
// and scenarios/. InvalidArgument with every fault of a document.
absl::StatusOr<std::vector<NamedLog>> make_logs(const std::filesystem::path& library);

}  // namespace brakeward::generator
