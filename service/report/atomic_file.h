// Files written whole or not at all.
#pragma once

#include <string>
#include <string_view>

#include "absl/status/status.h"

namespace brakeward::report {

// Writes a temporary file beside `path`, flushes it to the disk and renames it over `path`, so that a reader
// sees the old content or the new, never half. Follows a symbolic link to the file it names and keeps the
// mode of a file that is there. What is not a regular file (a pipe, a terminal) is written directly. Errors
// name path, cause and remedy; nothing is left behind.
absl::Status write_file_atomically(const std::string& path, std::string_view content);

}  // namespace brakeward::report
