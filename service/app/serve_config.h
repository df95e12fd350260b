// What `brakeward serve` is told, checked and made plain.
#pragma once

#include <chrono>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "gate/desk.h"
#include "rpc/address.h"
#include "rpc/server.h"

namespace brakeward::app {

// All paths are absolute or relative to where the program runs.
struct ServeConfig {
  std::vector<std::filesystem::path> library_folders;
  std::filesystem::path recordings_folder;
  rpc::Address address;
  std::optional<rpc::Address> metrics;  // empty: no page
  rpc::TlsTexts tls;                    // read and matched
  std::filesystem::path store_file;     // empty: history in memory
  gate::DeskLimits limits;
  int message_kib = 0;
  int open_streams = 0;
  std::chrono::milliseconds drain{0};
  std::chrono::milliseconds retry_after{0};
  bool plaintext_beyond_loopback = false;
  bool reflection_beyond_loopback = false;
};

// Loads a brakeward.v1.ServiceConfig; relative paths in it start at its folder. InvalidArgument with every
// fault, one a line: those of the document; addresses that cannot be; plaintext where others could listen;
// certificates that cannot be read or do not belong together; folders that are not there.
absl::StatusOr<ServeConfig> load_serve_config(const std::filesystem::path& file);

}  // namespace brakeward::app
