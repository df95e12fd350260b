#include "store/sqlite_rows.h"

#include "store/checksum.h"
#include "store/concat.h"
#include "store/sqlite_error.h"

namespace brakeward::store {
namespace {

constexpr std::string_view kEdited = "its checksum does not match, so it was damaged or edited";
constexpr std::string_view kBodyEdited = "its body does not match its hash, so it was damaged or edited";
constexpr std::string_view kBodyGone = "its body is missing";

std::string checksum(std::int64_t sequence, const RunRow& row, const std::string& body_sha256) {
  return RowHash()
      .text(Table<RunRow>::kName)
      .number(sequence)
      .text(row.run_id)
      .number(row.finished_ms)
      .text(row.library)
      .text(row.event_build)
      .text(row.calibration_name)
      .text(row.state)
      .text(row.verdict)
      .text(row.result_sha256)
      .text(body_sha256)
      .digest();
}

std::string checksum(std::int64_t sequence, const BaselineRow& row, const std::string& body_sha256) {
  return RowHash()
      .text(Table<BaselineRow>::kName)
      .number(sequence)
      .text(row.sha256)
      .number(row.kept_ms)
      .text(row.library)
      .text(row.event_build)
      .text(body_sha256)
      .digest();
}

std::string checksum(std::int64_t sequence, const EventRow& row) {
  return RowHash()
      .text(Table<EventRow>::kName)
      .number(sequence)
      .number(row.at_ms)
      .text(row.kind)
      .text(row.subject)
      .text(row.text)
      .digest();
}

// Verifies the row, and reads and verifies the body when asked to.
template <class Row>
absl::StatusOr<Kept<Row>> verified(Kept<Row> kept, const Statement& statement, const std::string& file,
                                   Body body) {
  using T = Table<Row>;
  const auto damaged = [&](std::string_view what) {
    return damaged_row(file, T::kName, kept.sequence, T::id(kept.row), what);
  };
  const std::string body_sha256 = statement.string_at(T::kBody - 2);
  if (checksum(kept.sequence, kept.row, body_sha256) != statement.string_at(T::kBody - 1))
    return damaged(kEdited);
  if (body == Body::kLeave) return kept;
  if (statement.null_at(T::kBody)) return damaged(kBodyGone);
  kept.row.body = statement.string_at(T::kBody);
  if (body_hash(kept.row.body) != body_sha256) return damaged(kBodyEdited);
  return kept;
}

// A body left behind by a row that was given up is replaced.
absl::Status insert_body(Connection& connection, std::string_view table, std::int64_t sequence,
                         const std::string& body, std::string_view doing) {
  absl::StatusOr<Statement> statement =
      connection.prepare(concat("INSERT OR REPLACE INTO ", table, "_body (sequence, body) VALUES (?, ?)"));
  if (!statement.ok()) return statement.status();
  return statement->number(sequence).bytes(body).step(doing).status();
}

}  // namespace

absl::StatusOr<Kept<RunRow>> read_run(const Statement& statement, const std::string& file, Body body) {
  Kept<RunRow> kept;
  kept.sequence = statement.number_at(0);
  kept.row.run_id = statement.string_at(1);
  kept.row.finished_ms = statement.number_at(2);
  kept.row.library = statement.string_at(3);
  kept.row.event_build = statement.string_at(4);
  kept.row.calibration_name = statement.string_at(5);
  kept.row.state = statement.string_at(6);
  kept.row.verdict = statement.string_at(7);
  kept.row.result_sha256 = statement.string_at(8);
  return verified(std::move(kept), statement, file, body);
}

absl::StatusOr<Kept<BaselineRow>> read_baseline(const Statement& statement, const std::string& file,
                                                Body body) {
  Kept<BaselineRow> kept;
  kept.sequence = statement.number_at(0);
  kept.row.sha256 = statement.string_at(1);
  kept.row.kept_ms = statement.number_at(2);
  kept.row.library = statement.string_at(3);
  kept.row.event_build = statement.string_at(4);
  return verified(std::move(kept), statement, file, body);
}

absl::StatusOr<Kept<EventRow>> read_event(const Statement& statement, const std::string& file) {
  Kept<EventRow> kept;
  kept.sequence = kept.row.sequence = statement.number_at(0);
  kept.row.at_ms = statement.number_at(1);
  kept.row.kind = statement.string_at(2);
  kept.row.subject = statement.string_at(3);
  kept.row.text = statement.string_at(4);
  if (checksum(kept.sequence, kept.row) == statement.string_at(5)) return kept;
  return damaged_row(file, Table<EventRow>::kName, kept.sequence, kept.row.kind, kEdited);
}

absl::Status insert(Connection& connection, std::int64_t sequence, const RunRow& row) {
  constexpr std::string_view kDoing = "the run cannot be written";
  absl::StatusOr<Statement> statement = connection.prepare(
      concat("INSERT INTO run (", Table<RunRow>::kColumns, ") VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"));
  if (!statement.ok()) return statement.status();
  const std::string body_sha256 = body_hash(row.body);
  const std::string sum = checksum(sequence, row, body_sha256);
  statement->number(sequence)
      .text(row.run_id)
      .number(row.finished_ms)
      .text(row.library)
      .text(row.event_build);
  statement->text(row.calibration_name).text(row.state).text(row.verdict).text(row.result_sha256);
  const absl::StatusOr<bool> done = statement->bytes(body_sha256).bytes(sum).step(kDoing);
  if (!done.ok()) return done.status();
  return insert_body(connection, Table<RunRow>::kName, sequence, row.body, kDoing);
}

absl::Status insert(Connection& connection, std::int64_t sequence, const BaselineRow& row) {
  constexpr std::string_view kDoing = "the baseline cannot be written";
  absl::StatusOr<Statement> statement = connection.prepare(
      concat("INSERT INTO baseline (", Table<BaselineRow>::kColumns, ") VALUES (?, ?, ?, ?, ?, ?, ?)"));
  if (!statement.ok()) return statement.status();
  const std::string body_sha256 = body_hash(row.body);
  const std::string sum = checksum(sequence, row, body_sha256);
  statement->number(sequence).text(row.sha256).number(row.kept_ms).text(row.library).text(row.event_build);
  const absl::StatusOr<bool> done = statement->bytes(body_sha256).bytes(sum).step(kDoing);
  if (!done.ok()) return done.status();
  return insert_body(connection, Table<BaselineRow>::kName, sequence, row.body, kDoing);
}

absl::Status insert(Connection& connection, std::int64_t sequence, const EventRow& row) {
  absl::StatusOr<Statement> statement = connection.prepare(
      concat("INSERT INTO event (", Table<EventRow>::kColumns, ") VALUES (?, ?, ?, ?, ?, ?)"));
  if (!statement.ok()) return statement.status();
  const std::string sum = checksum(sequence, row);
  statement->number(sequence).number(row.at_ms).text(row.kind).text(row.subject).text(row.text).bytes(sum);
  return statement->step("the event cannot be written").status();
}

}  // namespace brakeward::store
