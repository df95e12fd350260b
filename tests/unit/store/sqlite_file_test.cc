// The file behind the store: what outlives the process, who may look in, and rows that are not as they were.
#include <sqlite3.h>

#include <chrono>

#include "store/concat.h"
#include "unit/store/samples.h"

namespace brakeward::store {
namespace {

namespace fs = std::filesystem;
using absl::StatusCode;
using testing::ElementsAre;

class SqliteFile : public testing::Test {
 protected:
  void SetUp() override {
    store_ = open_or_fail(file_);
    ASSERT_NE(store_, nullptr);
  }
  void reopen() {
    store_ = nullptr;
    store_ = open_or_fail(file_);
    ASSERT_NE(store_, nullptr);
  }

  TemporaryFolder folder_;
  const fs::path file_ = folder_.file("history.db");
  std::unique_ptr<Store> store_;
};

TEST_F(SqliteFile, EverythingOutlivesTheProcess) {
  for (int i = 0; i < 5; ++i) ASSERT_THAT(store_->put_run(sample_run(i)), Succeeds());
  ASSERT_THAT(store_->put_event(sample_event(1)), Succeeds());
  ASSERT_THAT(store_->put_baseline(sample_baseline(1)), Succeeds());
  const std::string token = store_->list_runs({"", "", 2, ""})->next_page_token;
  reopen();
  EXPECT_EQ(text_of(*store_->get_run("run-3")), text_of(sample_run(3)));
  EXPECT_THAT(all_ids(*store_, {"", "", 2, token}), ElementsAre("run-2", "run-1", "run-0"));
  EXPECT_EQ(text_of(*store_->get_baseline("baseline-1")), text_of(sample_baseline(1)));
  ASSERT_THAT(store_->put_event(sample_event(2)), Succeeds());
  const std::vector<EventRow> events = store_->list_events(10, "")->rows;
  ASSERT_EQ(events.size(), 2u);
  EXPECT_EQ(events[0].sequence, 2);
  EXPECT_EQ(events[1].text, "event 1");
}

TEST_F(SqliteFile, ACheckpointBringsAllIntoTheMainFile) {
  ASSERT_THAT(store_->put_run(sample_run(1)), Succeeds());
  EXPECT_GT(fs::file_size(file_.string() + "-wal"), 0u);
  ASSERT_THAT(store_->checkpoint(), Succeeds());
  EXPECT_EQ(fs::file_size(file_.string() + "-wal"), 0u);
  fs::copy_file(file_, folder_.path() / "copy.db");
  const std::unique_ptr<Store> copy = open_or_fail(folder_.path() / "copy.db");
  EXPECT_EQ(text_of(*copy->get_run("run-1")), text_of(sample_run(1)));
  ASSERT_THAT(store_->put_run(sample_run(2)), Succeeds());
}

TEST_F(SqliteFile, ReadOnlyWorksBesideAWriter) {
  ASSERT_THAT(store_->put_run(sample_run(1)), Succeeds());
  const std::unique_ptr<Store> reader = open_or_fail(file_, Access::kReadOnly);
  EXPECT_EQ(text_of(*reader->get_run("run-1")), text_of(sample_run(1)));
  ASSERT_THAT(store_->put_run(sample_run(2)), Succeeds());
  EXPECT_EQ(*reader->count_runs(), 2);
  const auto refused = Fails(StatusCode::kFailedPrecondition, "was opened read-only; open it for writing");
  EXPECT_THAT(reader->put_run(sample_run(3)), refused);
  EXPECT_THAT(reader->put_event(sample_event(3)), refused);
  EXPECT_THAT(reader->put_baseline(sample_baseline(3)), refused);
  EXPECT_THAT(reader->checkpoint(), Succeeds());
  EXPECT_THAT(store_->checkpoint(), Succeeds());
  ASSERT_THAT(store_->put_run(sample_run(3)), Succeeds());
  store_ = nullptr;
  EXPECT_EQ(*reader->count_runs(), 3);
  EXPECT_THAT(all_ids(*open_or_fail(file_, Access::kReadOnly), {}), ElementsAre("run-3", "run-2", "run-1"));
}

TEST_F(SqliteFile, ALockedFileIsUnavailableAfterTheWait) {
  constexpr std::chrono::milliseconds kWait{60};
  store_ = *open_sqlite_store(file_, Access::kReadWrite, kWait);
  ASSERT_THAT(store_->put_run(sample_run(1)), Succeeds());
  sqlite3* other = nullptr;
  ASSERT_EQ(sqlite3_open(file_.c_str(), &other), SQLITE_OK);
  ASSERT_EQ(sqlite3_exec(other, "BEGIN IMMEDIATE", nullptr, nullptr, nullptr), SQLITE_OK);
  const auto locked = Fails(StatusCode::kUnavailable, "another program has it locked; try again");
  const auto begin = std::chrono::steady_clock::now();
  EXPECT_THAT(store_->put_run(sample_run(2)), locked);
  EXPECT_GE(std::chrono::steady_clock::now() - begin, kWait);
  EXPECT_THAT(store_->put_event(sample_event(2)), locked);
  EXPECT_EQ(text_of(*store_->get_run("run-1")), text_of(sample_run(1)));
  EXPECT_THAT(open_sqlite_store(file_, Access::kReadWrite, kWait), Succeeds());
  ASSERT_EQ(sqlite3_exec(other, "COMMIT", nullptr, nullptr, nullptr), SQLITE_OK);
  EXPECT_THAT(store_->put_run(sample_run(2)), Succeeds());
  sqlite3_close(other);
}

TEST_F(SqliteFile, AFileMovedAwayTakesNoMoreWrites) {
  ASSERT_THAT(store_->put_run(sample_run(1)), Succeeds());
  fs::rename(file_, folder_.path() / "elsewhere.db");
  EXPECT_THAT(store_->put_run(sample_run(2)), Fails(StatusCode::kFailedPrecondition, "moved or deleted"));
}

struct Edit {
  std::string sql;
  std::string named;  // how the row is named afterwards
};

// Each edit goes through the database library, so the file itself stays sound: only the checksum can tell.
TEST_F(SqliteFile, AnEditedColumnOfARunIsDataLoss) {
  std::vector<Edit> edits = {{"run_id = 'run-9'", "run 'run-9' (row 2)"},
                             {"sequence = 9", "run 'run-2' (row 9)"}};
  for (const char* change :
       {"finished_ms = finished_ms + 1", "library = 'sorrel '", "event_build = 'y'", "calibration_name = ''",
        "state = 'x'", "verdict = 'pass '", "result_sha256 = upper(result_sha256)",
        "body_sha256 = zeroblob(32)", "checksum = zeroblob(32)", "checksum = x''"}) {
    edits.push_back({change, "run 'run-2' (row 2)"});
  }
  for (int i = 1; i <= 3; ++i) ASSERT_THAT(store_->put_run(sample_run(i, "sorrel", "b")), Succeeds());
  store_ = nullptr;
  fs::copy_file(file_, folder_.path() / "good.db");
  for (const Edit& change : edits) {
    fs::copy_file(folder_.path() / "good.db", file_, fs::copy_options::overwrite_existing);
    edit(file_, concat("UPDATE run SET ", change.sql, " WHERE sequence = 2"));
    reopen();
    const auto lost =
        Fails(StatusCode::kDataLoss, concat(file_.string(), ": ", change.named,
                                            ": its checksum does not match, so it was damaged or "
                                            "edited; restore the file from a backup"));
    EXPECT_THAT(store_->list_runs({}), lost) << change.sql;
    if (change.sql.find("run_id") != 0) {
      EXPECT_THAT(store_->get_run("run-2"), lost) << change.sql;
    }
    EXPECT_THAT(store_->get_run("run-1"), Succeeds());
    EXPECT_EQ(store_->list_runs({"", "", 1, ""})->rows.size(), 1u);
    store_ = nullptr;
  }
}

TEST_F(SqliteFile, AnEditedBodyIsDataLoss) {
  for (int i = 1; i <= 3; ++i) {
    ASSERT_THAT(store_->put_run(sample_run(i, "sorrel", "b")), Succeeds());
    ASSERT_THAT(store_->put_baseline(sample_baseline(i)), Succeeds());
  }
  edit(file_,
       "UPDATE run_body SET body = CAST(substr(body, 1, 50) || x'00' || substr(body, 52) AS BLOB) WHERE "
       "sequence = 3");
  EXPECT_THAT(store_->get_run("run-3"),
              Fails(StatusCode::kDataLoss, "run 'run-3' (row 3): its body does not match"));
  EXPECT_THAT(store_->put_run(sample_run(3, "sorrel", "b")), Fails(StatusCode::kDataLoss, "run 'run-3'"));
  EXPECT_THAT(store_->newest_of_builds("sorrel", 1), Fails(StatusCode::kDataLoss, "run 'run-3'"));
  EXPECT_THAT(store_->anchor_build("sorrel"), Fails(StatusCode::kDataLoss, "run 'run-3'"));
  EXPECT_THAT(all_ids(*store_, {}), ElementsAre("run-3", "run-2", "run-1"));  // lists read no body
  edit(file_, "DELETE FROM run_body WHERE sequence = 2");
  EXPECT_THAT(store_->get_run("run-2"), Fails(StatusCode::kDataLoss, "(row 2): its body is missing"));
  edit(file_, "UPDATE baseline_body SET body = (SELECT body FROM baseline_body WHERE sequence = 1)");
  EXPECT_THAT(store_->get_baseline("baseline-1"), Succeeds());
  EXPECT_THAT(store_->get_baseline("baseline-2"),
              Fails(StatusCode::kDataLoss, "baseline 'baseline-2' (row 2)"));
}

TEST_F(SqliteFile, EditedEventsAndBaselinesAreDataLoss) {
  ASSERT_THAT(store_->put_event(sample_event(1)), Succeeds());
  ASSERT_THAT(store_->put_event(sample_event(2)), Succeeds());
  ASSERT_THAT(store_->put_baseline(sample_baseline(1)), Succeeds());
  store_ = nullptr;
  fs::copy_file(file_, folder_.path() / "good.db");
  for (const char* change :
       {"event SET at_ms = 1", "event SET kind = 'x'", "event SET subject = ''", "event SET text = 'x'",
        "baseline SET sha256 = 'x'", "baseline SET kept_ms = 1", "baseline SET library = 'x'",
        "baseline SET event_build = 'x'", "baseline SET body_sha256 = x'00'"}) {
    fs::copy_file(folder_.path() / "good.db", file_, fs::copy_options::overwrite_existing);
    edit(file_, concat("UPDATE ", change, " WHERE sequence = 1"));
    reopen();
    const bool event = std::string(change).find("event SET") == 0;
    const absl::Status status =
        event ? store_->list_events(5, "").status() : store_->list_baselines({}).status();
    EXPECT_THAT(status, Fails(StatusCode::kDataLoss, "(row 1): its checksum does not match")) << change;
    store_ = nullptr;
  }
}

// The remedy that the message names: the damaged row goes, the others are there again.
TEST_F(SqliteFile, TheRemedyForADamagedRowWorks) {
  for (int i = 1; i <= 3; ++i) ASSERT_THAT(store_->put_run(sample_run(i)), Succeeds());
  edit(file_, "UPDATE run SET state = 'x' WHERE sequence = 3");
  const std::string message(store_->list_runs({}).status().message());
  const std::size_t sql = message.find("DELETE FROM");
  ASSERT_NE(sql, std::string::npos) << message;
  edit(file_, message.substr(sql, message.find('\'', sql) - sql));
  EXPECT_THAT(all_ids(*store_, {}), ElementsAre("run-2", "run-1"));
  ASSERT_THAT(store_->put_run(sample_run(4)), Succeeds());
  EXPECT_EQ(text_of(*store_->get_run("run-4")), text_of(sample_run(4)));
  reopen();
  EXPECT_EQ(text_of(*store_->get_run("run-4")), text_of(sample_run(4)));
}

}  // namespace
}  // namespace brakeward::store
