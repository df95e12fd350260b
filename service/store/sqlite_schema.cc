#include "store/sqlite_schema.h"

#include "store/concat.h"
#include "store/sqlite_error.h"

namespace brakeward::store {
namespace {

constexpr std::int64_t kApplicationId = 0x42775374;
constexpr std::int64_t kVersion = 1;

// An index on a time lists in the order of (time, sequence): SQLite ends each entry with the table's key.
constexpr std::string_view kSchema[] = {
    ("CREATE TABLE run (sequence INTEGER PRIMARY KEY, run_id TEXT NOT NULL UNIQUE, finished_ms INTEGER NOT "
     "NULL, "
     "library TEXT NOT NULL, event_build TEXT NOT NULL, calibration_name TEXT NOT NULL, state TEXT NOT NULL, "
     "verdict TEXT NOT NULL, result_sha256 TEXT NOT NULL, body_sha256 BLOB NOT NULL, checksum BLOB NOT NULL) "
     "STRICT"),
    "CREATE TABLE run_body (sequence INTEGER PRIMARY KEY, body BLOB NOT NULL) STRICT",
    ("CREATE TABLE event (sequence INTEGER PRIMARY KEY, at_ms INTEGER NOT NULL, kind TEXT NOT NULL, "
     "subject TEXT NOT NULL, text TEXT NOT NULL, checksum BLOB NOT NULL) STRICT"),
    ("CREATE TABLE baseline (sequence INTEGER PRIMARY KEY, sha256 TEXT NOT NULL UNIQUE, kept_ms INTEGER NOT "
     "NULL, "
     "library TEXT NOT NULL, event_build TEXT NOT NULL, body_sha256 BLOB NOT NULL, checksum BLOB NOT NULL) "
     "STRICT"),
    "CREATE TABLE baseline_body (sequence INTEGER PRIMARY KEY, body BLOB NOT NULL) STRICT",
    "CREATE INDEX run_by_time ON run (finished_ms)",
    "CREATE INDEX run_by_library ON run (library, finished_ms)",
    "CREATE INDEX run_by_build ON run (library, event_build, finished_ms)",
    // Only the runs of event builds, for the oldest of them and for lists of them.
    "CREATE INDEX run_of_builds ON run (library, finished_ms) WHERE event_build <> ''",
    "CREATE INDEX baseline_by_time ON baseline (kept_ms)",
    "CREATE INDEX baseline_by_library ON baseline (library, kept_ms)",
};

std::string hexadecimal(std::int64_t value) {
  return concat("0x", absl::Hex(value, absl::kZeroPad8));
}

}  // namespace

absl::StatusOr<Kind> identify(Connection& connection) {
  absl::StatusOr<Statement> ask = connection.prepare(
      "SELECT (SELECT application_id FROM pragma_application_id), (SELECT user_version FROM "
      "pragma_user_version), "
      "(SELECT count(*) FROM sqlite_schema)");
  if (!ask.ok()) return ask.status();
  const absl::StatusOr<bool> row = ask->step("cannot be read");
  if (!row.ok()) return row.status();
  const std::int64_t application = ask->number_at(0);
  const std::int64_t version = ask->number_at(1);
  const bool empty = application == 0 && version == 0 && ask->number_at(2) == 0;
  if (empty) return Kind::kEmpty;
  if (application != kApplicationId) {
    return absl::FailedPreconditionError(
        concat(connection.file(), ": is the file of another program (application id ",
               hexadecimal(application), ", not ", hexadecimal(kApplicationId), "); name another file"));
  }
  if (version == kVersion) return Kind::kStore;
  return absl::FailedPreconditionError(concat(connection.file(), ": is a store of version ", version,
                                              ", this program knows version ", kVersion,
                                              "; use the program that wrote it, or name another file"));
}

absl::Status create_schema(Connection& connection) {
  constexpr std::string_view kDoing = "the tables cannot be made";
  absl::StatusOr<Transaction> transaction = Transaction::begin(connection, kDoing);
  if (!transaction.ok()) return transaction.status();
  const absl::StatusOr<Kind> kind = identify(connection);
  if (!kind.ok()) return kind.status();
  if (*kind == Kind::kStore) return absl::OkStatus();
  for (std::string_view sql : kSchema) {
    if (absl::Status made = connection.run(std::string(sql), kDoing); !made.ok()) return made;
  }
  const std::string stamp =
      concat("PRAGMA application_id = ", kApplicationId, "; PRAGMA user_version = ", kVersion);
  if (absl::Status stamped = connection.run(stamp, kDoing); !stamped.ok()) return stamped;
  return transaction->commit(kDoing);
}

absl::Status verify_schema(Connection& connection) {
  constexpr std::string_view kDoing = "cannot be verified";
  for (std::string_view sql : kSchema) {
    absl::StatusOr<Statement> ask = connection.prepare("SELECT count(*) FROM sqlite_schema WHERE sql = ?");
    if (!ask.ok()) return ask.status();
    const absl::StatusOr<bool> row = ask->text(sql).step(kDoing);
    if (!row.ok()) return row.status();
    if (ask->number_at(0) == 1) continue;
    return damaged_file(connection.file(), concat("it does not hold the table or index '",
                                                  sql.substr(0, sql.find('(')), "...'"));
  }
  for (const char* table : {"run", "event", "baseline"}) {
    const absl::StatusOr<std::string> answer =
        connection.ask(concat("PRAGMA integrity_check(", table, ")"), kDoing);
    if (!answer.ok()) return answer.status();
    if (*answer != "ok") return damaged_file(connection.file(), concat("table ", table, ": ", *answer));
  }
  return absl::OkStatus();
}

}  // namespace brakeward::store
