// Rows to columns and back, with their checksums. The columns are those of sqlite_schema.h in their order.
#pragma once

#include <cstdint>
#include <string>

#include "absl/status/statusor.h"
#include "store/page_token.h"
#include "store/sqlite_connection.h"
#include "store/store.h"

namespace brakeward::store {

// What sets one table apart for the code that serves them all.
template <class Row>
struct Table;

template <>
struct Table<RunRow> {
  static constexpr std::string_view kName = "run";
  static constexpr std::string_view kId = "run_id";
  static constexpr std::string_view kTime = "finished_ms";
  static constexpr std::string_view kColumns =
      "sequence, run_id, finished_ms, library, event_build, calibration_name, state, verdict, result_sha256, "
      "body_sha256, checksum";
  static constexpr int kBody = 11;  // column of the body behind these
  static const std::string& id(const RunRow& row) { return row.run_id; }
  static std::int64_t time(const RunRow& row) { return row.finished_ms; }
};

template <>
struct Table<BaselineRow> {
  static constexpr std::string_view kName = "baseline";
  static constexpr std::string_view kId = "sha256";
  static constexpr std::string_view kTime = "kept_ms";
  static constexpr std::string_view kColumns =
      "sequence, sha256, kept_ms, library, event_build, body_sha256, checksum";
  static constexpr int kBody = 7;
  static const std::string& id(const BaselineRow& row) { return row.sha256; }
  static std::int64_t time(const BaselineRow& row) { return row.kept_ms; }
};

template <>
struct Table<EventRow> {
  static constexpr std::string_view kName = "event";
  static constexpr std::string_view kColumns = "sequence, at_ms, kind, subject, text, checksum";
};

// A row that was read and found to be as it was written.
template <class Row>
struct Kept {
  Row row;
  std::int64_t sequence = 0;
};

enum class Body { kLeave, kRead };

// The row at hand, whose columns are Table<Row>::kColumns and, to read the body, the body; DataLoss when it
// is not as it was written.
absl::StatusOr<Kept<RunRow>> read_run(const Statement& statement, const std::string& file, Body body);
absl::StatusOr<Kept<BaselineRow>> read_baseline(const Statement& statement, const std::string& file,
                                                Body body);
absl::StatusOr<Kept<EventRow>> read_event(const Statement& statement, const std::string& file);

// Writes the row under the sequence. To be called within a transaction.
absl::Status insert(Connection& connection, std::int64_t sequence, const RunRow& row);
absl::Status insert(Connection& connection, std::int64_t sequence, const BaselineRow& row);
absl::Status insert(Connection& connection, std::int64_t sequence, const EventRow& row);

}  // namespace brakeward::store
