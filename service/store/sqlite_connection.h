// One connection to an SQLite file, its statements and transactions. SQLite's own types stay below this file.
#pragma once

#include <sqlite3.h>

#include <chrono>
#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <string_view>

#include "absl/status/status.h"
#include "absl/status/statusor.h"

namespace brakeward::store {

// A prepared statement at work: bind in the order of its parameters, then step. It is borrowed from its
// connection and ready for the next use when this object goes. Bound text must outlive this object.
class Statement {
 public:
  Statement(sqlite3_stmt* statement, const std::string& file) : statement_(statement), file_(&file) {}
  Statement(Statement&& other) noexcept;
  Statement& operator=(Statement&&) = delete;
  ~Statement();

  Statement& text(std::string_view value);
  Statement& bytes(std::string_view value);
  Statement& number(std::int64_t value);

  // Whether there is a row to look at. `doing` goes into the message of a failure.
  absl::StatusOr<bool> step(std::string_view doing);

  // Columns of the row at hand, counted from 0. Text and blobs alike are bytes.
  std::string string_at(int column) const;
  std::int64_t number_at(int column) const;
  bool null_at(int column) const;

 private:
  sqlite3_stmt* statement_;
  const std::string* file_;
  int parameters_ = 0;
  int bind_result_ = SQLITE_OK;
};

// Not thread-safe: its owner locks.
class Connection {
 public:
  // Opens without looking into the file. `flags` are those of sqlite3_open_v2.
  static absl::StatusOr<std::unique_ptr<Connection>> open(const std::string& file, int flags,
                                                          std::chrono::milliseconds lock_wait);
  ~Connection();
  Connection(const Connection&) = delete;
  Connection& operator=(const Connection&) = delete;

  // Prepared at its first use and kept.
  absl::StatusOr<Statement> prepare(const std::string& sql);
  // Runs statements that answer nothing.
  absl::Status run(const std::string& sql, std::string_view doing);
  // The first column of the first row as a string, empty when there is none.
  absl::StatusOr<std::string> ask(const std::string& sql, std::string_view doing);

  const std::string& file() const { return file_; }
  sqlite3* db() const { return db_; }

 private:
  explicit Connection(const std::string& file) : file_(file) {}

  std::string file_;
  sqlite3* db_ = nullptr;
  std::map<std::string, sqlite3_stmt*> kept_;
};

// A writing transaction. Undone when it goes without having been committed.
class Transaction {
 public:
  // Waits for the write lock.
  static absl::StatusOr<Transaction> begin(Connection& connection, std::string_view doing);
  Transaction(Transaction&& other) noexcept;
  Transaction& operator=(Transaction&&) = delete;
  ~Transaction();

  // Returns OK when the transaction is on the disk.
  absl::Status commit(std::string_view doing);

 private:
  explicit Transaction(Connection& connection) : connection_(&connection) {}

  Connection* connection_;  // null once it has been moved from
};

}  // namespace brakeward::store
