// From a path to a connection that is known to hold a store.
#pragma once

#include <chrono>
#include <filesystem>
#include <memory>

#include "absl/status/statusor.h"
#include "store/sqlite_connection.h"
#include "store/store.h"

namespace brakeward::store {

absl::StatusOr<std::unique_ptr<Connection>> open_connection(const std::filesystem::path& path, Access access,
                                                            std::chrono::milliseconds lock_wait);

}  // namespace brakeward::store
