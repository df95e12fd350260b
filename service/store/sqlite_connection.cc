#include "store/sqlite_connection.h"

#include <cerrno>
#include <utility>

#include "store/sqlite_error.h"

namespace brakeward::store {

Statement::Statement(Statement&& other) noexcept
    : statement_(std::exchange(other.statement_, nullptr)),
      file_(other.file_),
      parameters_(other.parameters_),
      bind_result_(other.bind_result_) {}

Statement::~Statement() {
  if (statement_ == nullptr) return;
  sqlite3_reset(statement_);
  sqlite3_clear_bindings(statement_);
}

// A null pointer would bind NULL, which an empty string is not.
Statement& Statement::text(std::string_view value) {
  const int result = sqlite3_bind_text64(statement_, ++parameters_, value.empty() ? "" : value.data(),
                                         value.size(), SQLITE_STATIC, SQLITE_UTF8);
  if (bind_result_ == SQLITE_OK) bind_result_ = result;
  return *this;
}

Statement& Statement::bytes(std::string_view value) {
  const int result = sqlite3_bind_blob64(statement_, ++parameters_, value.empty() ? "" : value.data(),
                                         value.size(), SQLITE_STATIC);
  if (bind_result_ == SQLITE_OK) bind_result_ = result;
  return *this;
}

Statement& Statement::number(std::int64_t value) {
  const int result = sqlite3_bind_int64(statement_, ++parameters_, value);
  if (bind_result_ == SQLITE_OK) bind_result_ = result;
  return *this;
}

absl::StatusOr<bool> Statement::step(std::string_view doing) {
  sqlite3* db = sqlite3_db_handle(statement_);
  if (bind_result_ != SQLITE_OK) return sqlite_error(*file_, db, bind_result_, doing);
  errno = 0;
  const int result = sqlite3_step(statement_);
  if (result == SQLITE_ROW) return true;
  if (result == SQLITE_DONE) return false;
  return sqlite_error(*file_, db, sqlite3_extended_errcode(db), doing);
}

std::string Statement::string_at(int column) const {
  const void* bytes = sqlite3_column_blob(statement_, column);
  if (bytes == nullptr) return {};
  return std::string(static_cast<const char*>(bytes),
                     static_cast<std::size_t>(sqlite3_column_bytes(statement_, column)));
}

std::int64_t Statement::number_at(int column) const {
  return sqlite3_column_int64(statement_, column);
}

bool Statement::null_at(int column) const {
  return sqlite3_column_type(statement_, column) == SQLITE_NULL;
}

absl::StatusOr<std::unique_ptr<Connection>> Connection::open(const std::string& file, int flags,
                                                             std::chrono::milliseconds lock_wait) {
  std::unique_ptr<Connection> connection(new Connection(file));
  errno = 0;
  const int result = sqlite3_open_v2(file.c_str(), &connection->db_,
                                     flags | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE, nullptr);
  if (result != SQLITE_OK) return sqlite_error(file, connection->db_, result, "cannot be opened");
  sqlite3_busy_timeout(connection->db_, static_cast<int>(lock_wait.count()));
  return connection;
}

Connection::~Connection() {
  for (const auto& [sql, statement] : kept_) sqlite3_finalize(statement);
  sqlite3_close(db_);
}

absl::StatusOr<Statement> Connection::prepare(const std::string& sql) {
  const auto [kept, added] = kept_.emplace(sql, nullptr);
  if (added) {
    errno = 0;
    const int result = sqlite3_prepare_v3(db_, sql.c_str(), static_cast<int>(sql.size()) + 1,
                                          SQLITE_PREPARE_PERSISTENT, &kept->second, nullptr);
    if (result != SQLITE_OK) {
      kept_.erase(kept);
      return sqlite_error(file_, db_, result, "cannot be asked");
    }
  }
  return Statement(kept->second, file_);
}

absl::Status Connection::run(const std::string& sql, std::string_view doing) {
  errno = 0;
  if (sqlite3_exec(db_, sql.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK) return absl::OkStatus();
  return sqlite_error(file_, db_, sqlite3_extended_errcode(db_), doing);
}

absl::StatusOr<std::string> Connection::ask(const std::string& sql, std::string_view doing) {
  sqlite3_stmt* prepared = nullptr;
  const int result =
      sqlite3_prepare_v2(db_, sql.c_str(), static_cast<int>(sql.size()) + 1, &prepared, nullptr);
  if (result != SQLITE_OK) return sqlite_error(file_, db_, result, doing);
  const std::unique_ptr<sqlite3_stmt, int (*)(sqlite3_stmt*)> owner(prepared, &sqlite3_finalize);
  Statement statement(prepared, file_);
  const absl::StatusOr<bool> found = statement.step(doing);
  if (!found.ok()) return found.status();
  return *found ? statement.string_at(0) : std::string();
}

absl::StatusOr<Transaction> Transaction::begin(Connection& connection, std::string_view doing) {
  // A file that is no longer under its name would take writes that nobody finds again.
  int moved = 0;
  sqlite3_file_control(connection.db(), "main", SQLITE_FCNTL_HAS_MOVED, &moved);
  if (moved != 0) return sqlite_error(connection.file(), connection.db(), SQLITE_READONLY_DBMOVED, doing);
  absl::StatusOr<Statement> begin = connection.prepare("BEGIN IMMEDIATE");
  if (!begin.ok()) return begin.status();
  const absl::StatusOr<bool> begun = begin->step(doing);
  if (!begun.ok()) return begun.status();
  return Transaction(connection);
}

Transaction::Transaction(Transaction&& other) noexcept
    : connection_(std::exchange(other.connection_, nullptr)) {}

Transaction::~Transaction() {
  if (connection_ == nullptr || sqlite3_get_autocommit(connection_->db()) != 0) return;
  sqlite3_exec(connection_->db(), "ROLLBACK", nullptr, nullptr, nullptr);
}

absl::Status Transaction::commit(std::string_view doing) {
  absl::StatusOr<Statement> commit = connection_->prepare("COMMIT");
  if (!commit.ok()) return commit.status();
  return commit->step(doing).status();
}

}  // namespace brakeward::store
