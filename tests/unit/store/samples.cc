#include "unit/store/samples.h"

#include <sqlite3.h>
#include <stdlib.h>

#include "store/concat.h"

namespace brakeward::store {

RunRow sample_run(int number, const std::string& library, const std::string& event_build) {
  RunRow run;
  run.run_id = concat("run-", number);
  run.finished_ms = 1'700'000'000'000 + 1000 * static_cast<std::int64_t>(number);
  run.library = library;
  run.event_build = event_build;
  run.calibration_name = concat("calibration ", number % 7);
  run.state = "finished";
  run.verdict = number % 3 == 0 ? "fail" : "pass";
  run.result_sha256 = concat("hash of ", number);
  run.body = sample_bytes(static_cast<std::uint64_t>(number), 100);
  return run;
}

BaselineRow sample_baseline(int number, const std::string& library) {
  BaselineRow baseline;
  baseline.sha256 = concat("baseline-", number);
  baseline.kept_ms = 1'700'000'000'000 + 1000 * static_cast<std::int64_t>(number);
  baseline.library = library;
  baseline.event_build = concat("build ", number);
  baseline.body = sample_bytes(static_cast<std::uint64_t>(number) + 1'000'000, 100);
  return baseline;
}

EventRow sample_event(int number) {
  return {0, 1'700'000'000'000 + number, "run_accepted", concat("run-", number), concat("event ", number)};
}

// SplitMix64 is enough for bytes that look like nothing in particular.
std::string sample_bytes(std::uint64_t seed, std::size_t size) {
  std::string bytes;
  bytes.reserve(size + 8);
  while (bytes.size() < size) {
    seed += 0x9e3779b97f4a7c15;
    std::uint64_t word = seed;
    word = (word ^ (word >> 30)) * 0xbf58476d1ce4e5b9;
    word = (word ^ (word >> 27)) * 0x94d049bb133111eb;
    word ^= word >> 31;
    for (int shift = 0; shift < 64; shift += 8) bytes.push_back(static_cast<char>(word >> shift & 0xff));
  }
  bytes.resize(size);
  return bytes;
}

std::string text_of(const RunRow& row) {
  return concat(row.run_id, "|", row.finished_ms, "|", row.library, "|", row.event_build, "|",
                row.calibration_name, "|", row.state, "|", row.verdict, "|", row.result_sha256, "|",
                row.body);
}

std::string text_of(const BaselineRow& row) {
  return concat(row.sha256, "|", row.kept_ms, "|", row.library, "|", row.event_build, "|", row.body);
}

std::unique_ptr<Store> open_or_fail(const std::filesystem::path& file, Access access) {
  absl::StatusOr<std::unique_ptr<Store>> store = open_sqlite_store(file, access);
  EXPECT_THAT(store, Succeeds());
  return store.ok() ? *std::move(store) : nullptr;
}

namespace {

int first_column(void* into, int count, char** values, char**) {
  if (count > 0 && values[0] != nullptr) *static_cast<std::string*>(into) = values[0];
  return 0;
}

}  // namespace

std::string look_up(const std::filesystem::path& file, const std::string& sql) {
  sqlite3* db = nullptr;
  std::string answer;
  EXPECT_EQ(sqlite3_open(file.c_str(), &db), SQLITE_OK);
  sqlite3_busy_timeout(db, 5000);
  EXPECT_EQ(sqlite3_exec(db, sql.c_str(), &first_column, &answer, nullptr), SQLITE_OK) << sqlite3_errmsg(db);
  sqlite3_close(db);
  return answer;
}

void edit(const std::filesystem::path& file, const std::string& sql) {
  look_up(file, sql);
}

std::vector<std::string> all_ids(Store& store, Query query) {
  std::vector<std::string> ids;
  do {
    absl::StatusOr<Page<RunRow>> page = store.list_runs(query);
    EXPECT_THAT(page, Succeeds());
    if (!page.ok()) return ids;
    for (const RunRow& row : page->rows) ids.push_back(row.run_id);
    query.page_token = page->next_page_token;
  } while (!query.page_token.empty());
  return ids;
}

}  // namespace brakeward::store
