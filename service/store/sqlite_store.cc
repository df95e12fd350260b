#include <cerrno>
#include <mutex>
#include <utility>

#include "absl/strings/escaping.h"
#include "store/check.h"
#include "store/concat.h"
#include "store/page_token.h"
#include "store/sqlite_error.h"
#include "store/sqlite_open.h"
#include "store/sqlite_rows.h"
#include "store/store.h"

namespace brakeward::store {
namespace {

absl::StatusOr<Kept<RunRow>> read(const Statement& s, const std::string& file, Body body, const RunRow*) {
  return read_run(s, file, body);
}

absl::StatusOr<Kept<BaselineRow>> read(const Statement& s, const std::string& file, Body body,
                                       const BaselineRow*) {
  return read_baseline(s, file, body);
}

// Columns and body of the rows of `from`, which names the table and may go on with a condition.
template <class Row>
std::string select_with_body(std::string_view from) {
  using T = Table<Row>;
  return concat("SELECT ", T::kColumns, ", body FROM ", from, " LEFT JOIN ", T::kName,
                "_body USING (sequence)");
}

// Newest first from a position on. Parameters: library and event build as far as the query names them, the
// position, how many.
template <class Row>
std::string select_page(const Query& query) {
  using T = Table<Row>;
  std::string sql = concat("SELECT ", T::kColumns, " FROM ", T::kName, " WHERE ");
  if (!query.library.empty()) sql += concat("library = ? AND ");
  if (query.event_build == "*") {
    sql += concat("event_build <> '' AND ");
  } else if (!query.event_build.empty()) {
    sql += concat("event_build = ? AND ");
  }
  sql += concat("(", T::kTime, ", sequence) < (?, ?) ORDER BY ", T::kTime, " DESC, sequence DESC LIMIT ?");
  return sql;
}

// The newest run of each build of library ?1. The builds are found by leaps through the index run_by_build,
// from one build's name to the next, so the work goes with the number of builds and not with that of runs.
constexpr std::string_view kNewestOfBuilds =
    "(WITH RECURSIVE build (name) AS ("
    "  SELECT min(event_build) FROM run WHERE library = ?1 AND event_build > ''"
    "  UNION ALL"
    "  SELECT (SELECT min(event_build) FROM run WHERE library = ?1 AND event_build > name) FROM build"
    "  WHERE name IS NOT NULL)"
    " SELECT (SELECT sequence FROM run WHERE library = ?1 AND event_build = name"
    "         ORDER BY finished_ms DESC, sequence DESC LIMIT 1) AS newest,"
    "        (SELECT finished_ms FROM run WHERE library = ?1 AND event_build = name"
    "         ORDER BY finished_ms DESC, sequence DESC LIMIT 1) AS newest_ms"
    " FROM build WHERE name IS NOT NULL ORDER BY newest_ms DESC, newest DESC LIMIT ?2) AS picked"
    " JOIN run ON run.sequence = picked.newest";

constexpr std::string_view kAnchorBuild =
    "(SELECT sequence AS newest FROM run WHERE library = ?1 AND event_build = "
    "  (SELECT event_build FROM run WHERE library = ?1 AND event_build <> ''"
    "   ORDER BY finished_ms, sequence LIMIT 1)"
    " ORDER BY finished_ms DESC, sequence DESC LIMIT 1) AS picked"
    " JOIN run ON run.sequence = picked.newest";

class SqliteStore final : public Store {
 public:
  SqliteStore(std::unique_ptr<Connection> connection, Access access)
      : connection_(std::move(connection)), access_(access) {}

  absl::Status put_run(const RunRow& run) override { return put_once(run); }
  absl::StatusOr<RunRow> get_run(const std::string& run_id) override;
  absl::StatusOr<Page<RunRow>> list_runs(const Query& query) override { return list<RunRow>(query); }
  absl::StatusOr<std::vector<RunRow>> newest_of_builds(const std::string& library, int limit) override;
  absl::StatusOr<RunRow> anchor_build(const std::string& library) override;
  absl::StatusOr<std::int64_t> count_runs() override;

  absl::Status put_event(const EventRow& event) override;
  absl::StatusOr<Page<EventRow>> list_events(int page_size, const std::string& page_token) override;

  absl::Status put_baseline(const BaselineRow& baseline) override { return put_once(baseline); }
  absl::StatusOr<BaselineRow> get_baseline(const std::string& sha256) override;
  absl::StatusOr<Page<BaselineRow>> list_baselines(const Query& query) override {
    return list<BaselineRow>(query);
  }

  absl::Status checkpoint() override;

 private:
  const std::string& file() const { return connection_->file(); }
  absl::Status writable() const;

  // All below with mutex_ held.

  // One past the last sequence of the table.
  absl::StatusOr<std::int64_t> next_sequence(std::string_view table);
  // The row under the id with its body, or none.
  template <class Row>
  absl::StatusOr<std::vector<Row>> find(const std::string& id);
  // The rows of a SELECT of columns and body that is bound and ready.
  template <class Row>
  absl::StatusOr<std::vector<Row>> collect(Statement& statement, std::string_view doing);

  // These two take the mutex.
  template <class Row>
  absl::Status put_once(const Row& row);
  template <class Row>
  absl::StatusOr<Page<Row>> list(const Query& query);

  std::mutex mutex_;  // guards the connection
  std::unique_ptr<Connection> connection_;
  const Access access_;
};

absl::Status SqliteStore::writable() const {
  if (access_ == Access::kReadWrite) return absl::OkStatus();
  return absl::FailedPreconditionError(concat(file(), ": was opened read-only; open it for writing"));
}

absl::StatusOr<std::int64_t> SqliteStore::next_sequence(std::string_view table) {
  absl::StatusOr<Statement> last = connection_->prepare(concat("SELECT max(sequence) FROM ", table));
  if (!last.ok()) return last.status();
  const absl::StatusOr<bool> row = last->step("the last row cannot be read");
  if (!row.ok()) return row.status();
  return last->number_at(0) + 1;
}

template <class Row>
absl::StatusOr<std::vector<Row>> SqliteStore::collect(Statement& statement, std::string_view doing) {
  std::vector<Row> rows;
  for (;;) {
    const absl::StatusOr<bool> more = statement.step(doing);
    if (!more.ok()) return more.status();
    if (!*more) return rows;
    absl::StatusOr<Kept<Row>> kept = read(statement, file(), Body::kRead, static_cast<const Row*>(nullptr));
    if (!kept.ok()) return kept.status();
    rows.push_back(std::move(kept->row));
  }
}

template <class Row>
absl::StatusOr<std::vector<Row>> SqliteStore::find(const std::string& id) {
  using T = Table<Row>;
  absl::StatusOr<Statement> statement =
      connection_->prepare(concat(select_with_body<Row>(T::kName), " WHERE ", T::kId, " = ?"));
  if (!statement.ok()) return statement.status();
  statement->text(id);
  return collect<Row>(*statement, concat(T::kName, " '", absl::CHexEscape(id), "' cannot be read"));
}

template <class Row>
absl::Status SqliteStore::put_once(const Row& row) {
  using T = Table<Row>;
  if (absl::Status status = writable(); !status.ok()) return status;
  if (absl::Status fault = check(row); !fault.ok()) return fault;
  const std::string doing = concat(T::kName, " '", absl::CHexEscape(T::id(row)), "' cannot be written");
  const std::lock_guard lock(mutex_);
  absl::StatusOr<Transaction> transaction = Transaction::begin(*connection_, doing);
  if (!transaction.ok()) return transaction.status();
  const absl::StatusOr<std::vector<Row>> kept = find<Row>(T::id(row));
  if (!kept.ok()) return kept.status();
  if (!kept->empty()) return kept_already(kept->front(), row);
  const absl::StatusOr<std::int64_t> sequence = next_sequence(T::kName);
  if (!sequence.ok()) return sequence.status();
  if (absl::Status inserted = insert(*connection_, *sequence, row); !inserted.ok()) return inserted;
  return transaction->commit(doing);
}

template <class Row>
absl::StatusOr<Page<Row>> SqliteStore::list(const Query& query) {
  using T = Table<Row>;
  if (absl::Status fault = check_page_size(query.page_size); !fault.ok()) return fault;
  const std::string scope = list_scope(T::kName, query);
  const absl::StatusOr<Position> start = page_start(scope, query.page_token);
  if (!start.ok()) return start.status();
  const std::lock_guard lock(mutex_);
  absl::StatusOr<Statement> statement = connection_->prepare(select_page<Row>(query));
  if (!statement.ok()) return statement.status();
  if (!query.library.empty()) statement->text(query.library);
  if (!query.event_build.empty() && query.event_build != "*") statement->text(query.event_build);
  statement->number(start->at_ms).number(start->sequence).number(query.page_size + 1);
  Page<Row> page;
  Position last;
  for (;;) {
    const absl::StatusOr<bool> more = statement->step(concat("the ", T::kName, "s cannot be listed"));
    if (!more.ok()) return more.status();
    if (!*more) return page;
    if (page.rows.size() == static_cast<std::size_t>(query.page_size)) break;
    absl::StatusOr<Kept<Row>> kept = read(*statement, file(), Body::kLeave, static_cast<const Row*>(nullptr));
    if (!kept.ok()) return kept.status();
    last = {T::time(kept->row), kept->sequence};
    page.rows.push_back(std::move(kept->row));
  }
  page.next_page_token = page_token(scope, last);
  return page;
}

absl::StatusOr<RunRow> SqliteStore::get_run(const std::string& run_id) {
  const std::lock_guard lock(mutex_);
  absl::StatusOr<std::vector<RunRow>> found = find<RunRow>(run_id);
  if (!found.ok()) return found.status();
  if (found->empty()) return no_run(run_id);
  return std::move(found->front());
}

absl::StatusOr<BaselineRow> SqliteStore::get_baseline(const std::string& sha256) {
  const std::lock_guard lock(mutex_);
  absl::StatusOr<std::vector<BaselineRow>> found = find<BaselineRow>(sha256);
  if (!found.ok()) return found.status();
  if (found->empty()) return no_baseline(sha256);
  return std::move(found->front());
}

absl::StatusOr<std::vector<RunRow>> SqliteStore::newest_of_builds(const std::string& library, int limit) {
  if (absl::Status fault = check_limit(limit); !fault.ok()) return fault;
  const std::lock_guard lock(mutex_);
  static const std::string* const sql = new std::string(
      concat(select_with_body<RunRow>(kNewestOfBuilds), " ORDER BY finished_ms DESC, sequence DESC"));
  absl::StatusOr<Statement> statement = connection_->prepare(*sql);
  if (!statement.ok()) return statement.status();
  statement->text(library).number(limit);
  return collect<RunRow>(*statement, "the event builds cannot be read");
}

absl::StatusOr<RunRow> SqliteStore::anchor_build(const std::string& library) {
  const std::lock_guard lock(mutex_);
  absl::StatusOr<Statement> statement = connection_->prepare(select_with_body<RunRow>(kAnchorBuild));
  if (!statement.ok()) return statement.status();
  statement->text(library);
  absl::StatusOr<std::vector<RunRow>> found = collect<RunRow>(*statement, "the anchor build cannot be read");
  if (!found.ok()) return found.status();
  if (found->empty()) return no_build(library);
  return std::move(found->front());
}

absl::StatusOr<std::int64_t> SqliteStore::count_runs() {
  const std::lock_guard lock(mutex_);
  absl::StatusOr<Statement> statement = connection_->prepare("SELECT count(*) FROM run");
  if (!statement.ok()) return statement.status();
  const absl::StatusOr<bool> row = statement->step("the runs cannot be counted");
  if (!row.ok()) return row.status();
  return statement->number_at(0);
}

absl::Status SqliteStore::put_event(const EventRow& event) {
  constexpr std::string_view kDoing = "the event cannot be written";
  if (absl::Status status = writable(); !status.ok()) return status;
  if (absl::Status fault = check(event); !fault.ok()) return fault;
  const std::lock_guard lock(mutex_);
  absl::StatusOr<Transaction> transaction = Transaction::begin(*connection_, kDoing);
  if (!transaction.ok()) return transaction.status();
  const absl::StatusOr<std::int64_t> sequence = next_sequence(Table<EventRow>::kName);
  if (!sequence.ok()) return sequence.status();
  if (absl::Status inserted = insert(*connection_, *sequence, event); !inserted.ok()) return inserted;
  return transaction->commit(kDoing);
}

absl::StatusOr<Page<EventRow>> SqliteStore::list_events(int page_size, const std::string& token) {
  if (absl::Status fault = check_page_size(page_size); !fault.ok()) return fault;
  const std::string scope = list_scope(Table<EventRow>::kName, {});
  const absl::StatusOr<Position> start = page_start(scope, token);
  if (!start.ok()) return start.status();
  const std::lock_guard lock(mutex_);
  absl::StatusOr<Statement> statement = connection_->prepare(concat(
      "SELECT ", Table<EventRow>::kColumns, " FROM event WHERE sequence < ? ORDER BY sequence DESC LIMIT ?"));
  if (!statement.ok()) return statement.status();
  statement->number(start->sequence).number(page_size + 1);
  Page<EventRow> page;
  for (;;) {
    const absl::StatusOr<bool> more = statement->step("the events cannot be listed");
    if (!more.ok()) return more.status();
    if (!*more) return page;
    if (page.rows.size() == static_cast<std::size_t>(page_size)) break;
    absl::StatusOr<Kept<EventRow>> kept = read_event(*statement, file());
    if (!kept.ok()) return kept.status();
    page.rows.push_back(std::move(kept->row));
  }
  page.next_page_token = page_token(scope, {0, page.rows.back().sequence});
  return page;
}

absl::Status SqliteStore::checkpoint() {
  if (access_ == Access::kReadOnly) return absl::OkStatus();
  const std::lock_guard lock(mutex_);
  errno = 0;
  const int result =
      sqlite3_wal_checkpoint_v2(connection_->db(), "main", SQLITE_CHECKPOINT_TRUNCATE, nullptr, nullptr);
  if (result == SQLITE_OK) return absl::OkStatus();
  return sqlite_error(file(), connection_->db(), sqlite3_extended_errcode(connection_->db()),
                      "what was written cannot be brought into the main file");
}

}  // namespace

absl::StatusOr<std::unique_ptr<Store>> open_sqlite_store(const std::filesystem::path& file, Access access,
                                                         std::chrono::milliseconds lock_wait) {
  absl::StatusOr<std::unique_ptr<Connection>> connection = open_connection(file, access, lock_wait);
  if (!connection.ok()) return connection.status();
  return std::make_unique<SqliteStore>(*std::move(connection), access);
}

}  // namespace brakeward::store
