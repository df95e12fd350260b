// Durable history behind one interface: finished runs, what happened to them, and baselines.
//
// Rows are opaque: the store keeps columns to find a row by and a body it does not read. Every row carries a
// checksum over all its columns; a row that no longer matches is DataLoss, never a wrong answer. A write that
// returned OK survives the loss of power.
//
// Thread-safe. Factories return StatusOr; nothing throws. Codes used throughout:
//   NotFound            no such row
//   AlreadyExists       another row under the same id or hash, with other content; the same content again is
//   OK DataLoss            a row whose checksum does not match, or a damaged file; names row and remedy
//   ResourceExhausted   the disk is full; nothing was written
//   Unavailable         the file is locked by another program beyond the waiting time; try again
//   FailedPrecondition  a file of another program or another version of the store
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"

namespace brakeward::store {

// A finished run. Times are milliseconds since 1970-01-01 UTC.
struct RunRow {
  std::string run_id;
  std::int64_t finished_ms = 0;
  std::string library;
  std::string event_build;  // empty for a variant
  std::string calibration_name;
  std::string state;    // word of the run state
  std::string verdict;  // word of the verdict
  std::string result_sha256;
  std::string body;  // opaque bytes; empty in the rows of a list
};

// Something that happened: a run accepted, cancelled, kept; a library loaded or refused; start and stop.
struct EventRow {
  std::int64_t sequence = 0;  // given by the store, rising
  std::int64_t at_ms = 0;
  std::string kind;     // one word
  std::string subject;  // run id or library; may be empty
  std::string text;     // one sentence; may be empty
};

// A baseline, known by the hash of its content.
struct BaselineRow {
  std::string sha256;
  std::int64_t kept_ms = 0;
  std::string library;
  std::string event_build;
  std::string body;  // opaque bytes; empty in the rows of a list
};

// Which rows, newest first.
struct Query {
  std::string library;      // empty: of any
  std::string event_build;  // empty: of any; "*": those with an event build
  int page_size = 50;       // 1 to 1000
  std::string page_token;   // from the page before; empty for the first
};

template <class Row>
struct Page {
  std::vector<Row> rows;
  std::string next_page_token;  // empty on the last page
};

class Store {
 public:
  virtual ~Store() = default;

  virtual absl::Status put_run(const RunRow& run) = 0;
  virtual absl::StatusOr<RunRow> get_run(const std::string& run_id) = 0;
  // InvalidArgument for a page size or token that cannot be.
  virtual absl::StatusOr<Page<RunRow>> list_runs(const Query& query) = 0;
  // The newest run of each event build of the library, newest build first by that run, `limit` at most, with
  // bodies. What the results' metrics are made of; quick however many runs are kept.
  virtual absl::StatusOr<std::vector<RunRow>> newest_of_builds(const std::string& library, int limit) = 0;
  // The oldest event build's newest run, with its body; NotFound when no run is marked.
  virtual absl::StatusOr<RunRow> anchor_build(const std::string& library) = 0;
  virtual absl::StatusOr<std::int64_t> count_runs() = 0;

  virtual absl::Status put_event(const EventRow& event) = 0;
  virtual absl::StatusOr<Page<EventRow>> list_events(int page_size, const std::string& page_token) = 0;

  virtual absl::Status put_baseline(const BaselineRow& baseline) = 0;
  virtual absl::StatusOr<BaselineRow> get_baseline(const std::string& sha256) = 0;
  virtual absl::StatusOr<Page<BaselineRow>> list_baselines(const Query& query) = 0;

  // Brings everything written so far into the main file; called at stop.
  virtual absl::Status checkpoint() = 0;
};

// Kept in memory only, for a service without a store file and for tests.
std::unique_ptr<Store> open_memory_store();

enum class Access { kReadWrite, kReadOnly };

// An SQLite file (WAL, synchronous FULL), made when it is not there unless read-only. NotFound for a
// read-only file that is not there; otherwise the codes above, naming the file.
absl::StatusOr<std::unique_ptr<Store>> open_sqlite_store(const std::filesystem::path& file, Access access);

}  // namespace brakeward::store
