// Certificates and keys from files.
#pragma once

#include <filesystem>
#include <string>

#include "absl/status/statusor.h"

namespace brakeward::rpc {

// What a PEM file, or a pipe, holds, of whatever kind. InvalidArgument says what is wrong with the file and
// how to mend it: it is not there, cannot be read, or is larger than 1 MiB.
absl::StatusOr<std::string> read_pem(const std::filesystem::path& file);

}  // namespace brakeward::rpc
