// Files that were cut short or in which bytes were changed: told, or read rightly, but never believed.
#include <map>

#include "files.h"
#include "store/concat.h"
#include "unit/store/samples.h"

namespace brakeward::store {
namespace {

namespace fs = std::filesystem;

constexpr int kRuns = 30;

RunRow run_of(int number) {
  RunRow run = sample_run(number, "sorrel", concat("build ", number % 5));
  run.body = sample_bytes(static_cast<std::uint64_t>(number), number % 3 == 0 ? 9000 : 300);
  return run;
}

class Damage : public testing::Test {
 protected:
  void SetUp() override {
    {
      const std::unique_ptr<Store> store = open_or_fail(file_);
      ASSERT_NE(store, nullptr);
      for (int i = 0; i < kRuns; ++i) {
        ASSERT_THAT(store->put_run(run_of(i)), Succeeds());
        ASSERT_THAT(store->put_event(sample_event(i)), Succeeds());
      }
      ASSERT_THAT(store->put_baseline(sample_baseline(1)), Succeeds());
    }
    good_ = tests::read_file(file_);
    ASSERT_GT(good_.size(), 100'000u);
  }

  void write(const std::string& content) {
    for (const char* companion : {"-wal", "-shm"}) fs::remove(file_.string() + companion);
    tests::write_file(file_, content);
  }

  // Counts the status; it has to be OK or one that says that the file is bad.
  bool sound(const absl::Status& status) {
    ++answers_[status.code()];
    if (status.ok()) return true;
    EXPECT_TRUE(absl::IsDataLoss(status) || absl::IsFailedPrecondition(status)) << status;
    EXPECT_NE(std::string(status.message()).find(file_.string()), std::string::npos) << status;
    return false;
  }

  // Everything that is answered is right.
  void read_all() {
    const absl::StatusOr<std::unique_ptr<Store>> store = open_sqlite_store(file_, Access::kReadOnly);
    if (!sound(store.status())) return;
    const absl::StatusOr<Page<RunRow>> runs = (*store)->list_runs({"", "", 1000, ""});
    if (sound(runs.status())) {
      EXPECT_EQ(runs->rows.size(), std::size_t{kRuns});
    }
    for (int i = 0; i < kRuns; ++i) {
      const absl::StatusOr<RunRow> run = (*store)->get_run(run_of(i).run_id);
      if (sound(run.status())) {
        EXPECT_EQ(text_of(*run), text_of(run_of(i)));
      }
    }
    const absl::StatusOr<std::vector<RunRow>> newest = (*store)->newest_of_builds("sorrel", 10);
    if (sound(newest.status())) {
      ASSERT_EQ(newest->size(), 5u);
      for (int i = 0; i < 5; ++i) EXPECT_EQ(text_of((*newest)[i]), text_of(run_of(kRuns - 1 - i)));
    }
    const absl::StatusOr<RunRow> anchor = (*store)->anchor_build("sorrel");
    if (sound(anchor.status())) {
      EXPECT_EQ(text_of(*anchor), text_of(run_of(kRuns - 5)));
    }
    const absl::StatusOr<BaselineRow> baseline = (*store)->get_baseline("baseline-1");
    if (sound(baseline.status())) {
      EXPECT_EQ(text_of(*baseline), text_of(sample_baseline(1)));
    }
    const absl::StatusOr<Page<EventRow>> events = (*store)->list_events(1000, "");
    if (sound(events.status())) {
      EXPECT_EQ(events->rows.size(), std::size_t{kRuns});
    }
  }

  const TemporaryFolder folder_;
  const fs::path file_ = folder_.file("history.db");
  std::string good_;
  std::map<absl::StatusCode, int> answers_;
};

TEST_F(Damage, TheGoodFileReadsWhole) {
  read_all();
  EXPECT_EQ(answers_.size(), 1u);
}

TEST_F(Damage, AFileCutShortIsTold) {
  for (std::size_t size = 1; size < good_.size(); size += size < 200 ? 37 : 1777) {
    write(good_.substr(0, size));
    EXPECT_FALSE(sound(open_sqlite_store(file_, Access::kReadOnly).status())) << size;
    EXPECT_FALSE(sound(open_sqlite_store(file_, Access::kReadWrite).status())) << size;
  }
}

// One bit, at places drawn over the whole file. A bit in an unused part changes nothing; every other one is
// told.
TEST_F(Damage, AChangedBitNeverGivesAWrongAnswer) {
  constexpr int kPlaces = 400;
  const std::string draws = sample_bytes(17, 4 * kPlaces);
  for (int i = 0; i < kPlaces && !HasFailure(); ++i) {
    std::size_t place = 0;
    for (int k = 0; k < 3; ++k) place = place << 8 | static_cast<unsigned char>(draws[4 * i + k]);
    place %= good_.size();
    std::string bad = good_;
    bad[place] = static_cast<char>(bad[place] ^ (1 << (draws[4 * i + 3] & 7)));
    SCOPED_TRACE(place);
    write(bad);
    read_all();
  }
  EXPECT_GT(answers_[absl::StatusCode::kDataLoss], kPlaces / 4);
}

// Whole pages taken from elsewhere in the file, as a disk that mixes up its sectors would give them.
TEST_F(Damage, AMisplacedPageNeverGivesAWrongAnswer) {
  constexpr std::size_t kPage = 4096;
  const std::size_t pages = good_.size() / kPage;
  const std::string draws = sample_bytes(19, 400);
  for (int i = 0; i < 200 && !HasFailure(); ++i) {
    const std::size_t from = static_cast<unsigned char>(draws[2 * i]) % pages;
    const std::size_t to = static_cast<unsigned char>(draws[2 * i + 1]) % pages;
    std::string bad = good_;
    bad.replace(to * kPage, kPage, good_.substr(from * kPage, kPage));
    SCOPED_TRACE(concat(from, " over ", to));
    write(bad);
    read_all();
  }
  EXPECT_GT(answers_[absl::StatusCode::kDataLoss], 50);
}

}  // namespace
}  // namespace brakeward::store
