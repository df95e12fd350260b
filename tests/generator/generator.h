// A demo car's logs, made anew from its documents.
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
inline constexpr int kLoggedWithNumerics = 4;

// Every log of the car `library` is about, in the order of its drives. The folder holds library.textproto,
// the vehicle it names, calibrations/released.textproto and scenarios/. InvalidArgument with every fault of a
// document; NotFound when the library is that of no demo car.
absl::StatusOr<std::vector<NamedLog>> make_logs(const std::filesystem::path& library);

}  // namespace brakeward::generator
