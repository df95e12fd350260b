// Durable history behind one interface: finished runs, what happened to them, and baselines.
//
// Rows are opaque: the store keeps columns to find a row by and a body it does not read. Every row carries a
// checksum over all its columns and its body, looked at whenever the row is read; a row that no longer
// matches is DataLoss, never a wrong answer. A write that returned OK survives the end of the process and the
// loss of power.
//
// Thread-safe. Factories return StatusOr; nothing throws. Codes used throughout:
//   InvalidArgument     a row or query that cannot be; tells every fault of a row
//   NotFound            no such row
//   AlreadyExists       another row under the same id or hash, with other content; the same content again is
//   OK DataLoss            a row whose checksum does not match, or a damaged file; names row and remedy
//   ResourceExhausted   the disk is full; nothing was written
//   Unavailable         the file is locked by another program beyond the waiting time; try again
//   PermissionDenied    the file or its folder may not be read or written by this user
//   FailedPrecondition  a file of another program or another version of the store; a write to a store that
//   was
//                       opened read-only; a file that was moved away while it was open
//   Internal            the disk or the database failed otherwise; tells how
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"

namespace brakeward::store {

// The largest body and the longest text in any other column, in bytes; more is InvalidArgument.
inline constexpr std::size_t kLargestBody = std::size_t{256} << 20;
inline constexpr std::size_t kLargestText = std::size_t{64} << 10;

// A finished run, never changed afterwards. Times are milliseconds since 1970-01-01 UTC.
struct RunRow {
  std::string run_id;  // not empty
  std::int64_t finished_ms = 0;
  std::string library;      // not empty
  std::string event_build;  // empty for a variant; not "*"
  std::string calibration_name;
  std::string state;    // word of the run state
  std::string verdict;  // word of the verdict
  std::string result_sha256;
  std::string body;  // opaque bytes; empty in the rows of a list
};

// Something that happened: a run accepted, cancelled, kept; a library loaded or refused; start and stop.
struct EventRow {
  std::int64_t sequence = 0;  // given by the store, rising; what put_event is given does not count
  std::int64_t at_ms = 0;
  std::string kind;     // one word
  std::string subject;  // run id or library; may be empty
  std::string text;     // one sentence; may be empty
};

// A baseline, known by the hash of its content. Kept again at another time it is the same; the first time
// stays.
struct BaselineRow {
  std::string sha256;  // not empty; the store does not work it out
  std::int64_t kept_ms = 0;
  std::string library;  // not empty
  std::string event_build;
  std::string body;  // opaque bytes; empty in the rows of a list
};

// Which rows, newest first; of rows with the same time the one that came last is first. A row that comes in
// while the pages of a list are fetched neither shows twice nor makes another one be left out. A token goes
// with the library and event build it was given for; the page size may change from page to page.
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
  // bodies. What the results' metrics are made of; quick however many runs are kept. InvalidArgument for a
  // limit below 1.
  virtual absl::StatusOr<std::vector<RunRow>> newest_of_builds(const std::string& library, int limit) = 0;
  // The newest run of the oldest event build, with its body; NotFound when no run is marked. The oldest build
  // is the one of the earliest marked run, so checking an old build again does not change the anchor.
  virtual absl::StatusOr<RunRow> anchor_build(const std::string& library) = 0;
  virtual absl::StatusOr<std::int64_t> count_runs() = 0;

  virtual absl::Status put_event(const EventRow& event) = 0;
  // In the order of their sequence, the last one first, whatever their times say.
  virtual absl::StatusOr<Page<EventRow>> list_events(int page_size, const std::string& page_token) = 0;

  virtual absl::Status put_baseline(const BaselineRow& baseline) = 0;
  virtual absl::StatusOr<BaselineRow> get_baseline(const std::string& sha256) = 0;
  virtual absl::StatusOr<Page<BaselineRow>> list_baselines(const Query& query) = 0;

  // Brings everything written so far into the main file; called at stop. Nothing is lost without it: it is
  // done from time to time anyway, and what it did not reach is in the file's companion `<file>-wal`.
  virtual absl::Status checkpoint() = 0;
};

// Kept in memory only, for a service without a store file and for tests.
std::unique_ptr<Store> open_memory_store();

enum class Access { kReadWrite, kReadOnly };

// How long a call waits for a file that another program has locked.
inline constexpr std::chrono::milliseconds kLockWait{5000};

// An SQLite file (WAL, synchronous FULL) on a local disk, made when it is not there unless read-only. Beside
// it lie `<file>-wal` and `<file>-shm` while it is open; they belong to it. Several processes may have it
// open, and read-only works beside a writing service. A folder or a read-only file that is not there is
// NotFound; otherwise the codes above, naming the file.
absl::StatusOr<std::unique_ptr<Store>> open_sqlite_store(const std::filesystem::path& file, Access access,
                                                         std::chrono::milliseconds lock_wait = kLockWait);

}  // namespace brakeward::store
