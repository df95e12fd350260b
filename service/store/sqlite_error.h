// What went wrong in SQLite, as a Status with cause and remedy.
#pragma once

#include <sqlite3.h>

#include <string>
#include <string_view>

#include "absl/status/status.h"

namespace brakeward::store {

// `result` is SQLite's extended result code, not SQLITE_OK; `doing` says what could not be done, as in
// "run 'r1' cannot be read". `db` may be null. The system's own reason is taken from errno, which is to be 0
// before the call that failed: SQLite keeps it for some failures only, not for those of a COMMIT.
absl::Status sqlite_error(const std::string& file, sqlite3* db, int result, std::string_view doing);

// DataLoss: the row, which is row `sequence` of `table`, is not as it was written.
absl::Status damaged_row(const std::string& file, std::string_view table, std::int64_t sequence,
                         std::string_view id, std::string_view what);

// DataLoss: the file as a whole.
absl::Status damaged_file(const std::string& file, std::string_view what);

}  // namespace brakeward::store
