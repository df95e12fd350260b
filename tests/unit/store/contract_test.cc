// What holds for every implementation of the store.
#include <algorithm>
#include <atomic>
#include <limits>
#include <set>
#include <thread>

#include "store/concat.h"
#include "unit/store/samples.h"

namespace brakeward::store {
namespace {

using absl::StatusCode;
using testing::ElementsAre;
using testing::IsEmpty;

enum class Kind { kMemory, kSqlite };

class Contract : public testing::TestWithParam<Kind> {
 protected:
  void SetUp() override {
    store_ = GetParam() == Kind::kMemory ? open_memory_store() : open_or_fail(folder_.file("history.db"));
    ASSERT_NE(store_, nullptr);
  }

  void put(int number, std::int64_t finished_ms, const std::string& library, const std::string& build) {
    RunRow run = sample_run(number, library, build);
    run.finished_ms = finished_ms;
    ASSERT_THAT(store_->put_run(run), Succeeds());
  }

  TemporaryFolder folder_;
  std::unique_ptr<Store> store_;
};

INSTANTIATE_TEST_SUITE_P(Stores, Contract, testing::Values(Kind::kMemory, Kind::kSqlite),
                         [](const auto& info) { return info.param == Kind::kMemory ? "Memory" : "Sqlite"; });

TEST_P(Contract, AnEmptyStoreAnswers) {
  EXPECT_THAT(store_->get_run("r"), Fails(StatusCode::kNotFound, "no run 'r' is kept"));
  EXPECT_THAT(store_->get_baseline("b"), Fails(StatusCode::kNotFound, "no baseline 'b' is kept"));
  EXPECT_THAT(store_->anchor_build("sorrel"), Fails(StatusCode::kNotFound, "no run of library 'sorrel'"));
  EXPECT_THAT(*store_->newest_of_builds("sorrel", 5), IsEmpty());
  EXPECT_EQ(*store_->count_runs(), 0);
  EXPECT_THAT(store_->list_runs({})->rows, IsEmpty());
  EXPECT_THAT(store_->list_events(10, "")->rows, IsEmpty());
  EXPECT_THAT(store_->list_baselines({})->rows, IsEmpty());
  EXPECT_EQ(store_->list_runs({})->next_page_token, "");
  EXPECT_THAT(store_->checkpoint(), Succeeds());
}

TEST_P(Contract, RowsComeBackByteForByte) {
  RunRow run = sample_run(1);
  run.run_id = std::string("a\0b\xff'\"%\n", 8);
  run.finished_ms = std::numeric_limits<std::int64_t>::min();
  run.body = std::string("\0\1\2\xff", 4) + sample_bytes(7, 300'000);
  ASSERT_THAT(store_->put_run(run), Succeeds());
  EXPECT_EQ(text_of(*store_->get_run(run.run_id)), text_of(run));
  RunRow bare;
  bare.run_id = "bare";
  bare.library = "sorrel";
  bare.finished_ms = std::numeric_limits<std::int64_t>::max();
  ASSERT_THAT(store_->put_run(bare), Succeeds());
  EXPECT_EQ(text_of(*store_->get_run("bare")), text_of(bare));
  EXPECT_THAT(all_ids(*store_, {}), ElementsAre("bare", run.run_id));
  const BaselineRow baseline = sample_baseline(3);
  ASSERT_THAT(store_->put_baseline(baseline), Succeeds());
  EXPECT_EQ(text_of(*store_->get_baseline(baseline.sha256)), text_of(baseline));
  EXPECT_EQ(*store_->count_runs(), 2);
}

TEST_P(Contract, TheSameRunAgainIsFineAndAnotherIsRefused) {
  const RunRow run = sample_run(1);
  ASSERT_THAT(store_->put_run(run), Succeeds());
  EXPECT_THAT(store_->put_run(run), Succeeds());
  EXPECT_EQ(*store_->count_runs(), 1);
  std::vector<RunRow> others(8, run);
  others[0].finished_ms += 1;
  others[1].library = "other";
  others[2].event_build = "other";
  others[3].calibration_name = "other";
  others[4].state = "other";
  others[5].verdict = "other";
  others[6].result_sha256 = "other";
  others[7].body.back() ^= 1;
  for (const RunRow& other : others) {
    EXPECT_THAT(store_->put_run(other), Fails(StatusCode::kAlreadyExists, "run 'run-1' is kept already"));
  }
  EXPECT_EQ(text_of(*store_->get_run("run-1")), text_of(run));
}

TEST_P(Contract, ABaselineKeptAgainStaysAsItWas) {
  const BaselineRow baseline = sample_baseline(1);
  ASSERT_THAT(store_->put_baseline(baseline), Succeeds());
  BaselineRow later = baseline;
  later.kept_ms += 5;
  EXPECT_THAT(store_->put_baseline(later), Succeeds());
  EXPECT_EQ(store_->get_baseline(baseline.sha256)->kept_ms, baseline.kept_ms);
  std::vector<BaselineRow> others(3, baseline);
  others[0].library = "other";
  others[1].event_build = "other";
  others[2].body += "x";
  for (const BaselineRow& other : others) {
    EXPECT_THAT(store_->put_baseline(other),
                Fails(StatusCode::kAlreadyExists, "'baseline-1' is kept already"));
  }
}

TEST_P(Contract, WhatCannotBeIsRefusedWithAllFaults) {
  RunRow run;
  run.event_build = "*";
  run.state = std::string(kLargestText + 1, 'x');
  const absl::Status status = store_->put_run(run);
  for (const char* part : {"run.run_id: is empty", "run.library: is empty", "run.event_build: is '*'",
                           "run.state: has 65537 bytes, at most 65536 are kept"}) {
    EXPECT_THAT(status, Fails(StatusCode::kInvalidArgument, part));
  }
  EXPECT_THAT(store_->put_event({}), Fails(StatusCode::kInvalidArgument, "event.kind: is empty"));
  EXPECT_THAT(store_->put_baseline({}), Fails(StatusCode::kInvalidArgument, "baseline.sha256: is empty"));
  RunRow large = sample_run(1);
  large.body.assign(kLargestBody + 1, 'x');
  EXPECT_THAT(store_->put_run(large), Fails(StatusCode::kInvalidArgument, "run.body: has 268435457 bytes"));
  EXPECT_THAT(store_->newest_of_builds("sorrel", 0), Fails(StatusCode::kInvalidArgument, "limit: 0 builds"));
  for (int size : {0, -1, 1001}) {
    EXPECT_THAT(store_->list_runs({"", "", size, ""}), Fails(StatusCode::kInvalidArgument, "page_size: "));
    EXPECT_THAT(store_->list_baselines({"", "", size, ""}), Fails(StatusCode::kInvalidArgument, "1 to 1000"));
    EXPECT_THAT(store_->list_events(size, ""), Fails(StatusCode::kInvalidArgument, concat(size, " is not")));
  }
  EXPECT_EQ(*store_->count_runs(), 0);
}

TEST_P(Contract, ListsRunNewestFirstWithoutBodies) {
  put(1, 100, "sorrel", "");
  put(2, 300, "sorrel", "north-1");
  put(3, 200, "other", "north-1");
  put(4, 200, "sorrel", "north-2");  // the same time as the one before, and came later
  put(5, -5, "other", "");
  EXPECT_THAT(all_ids(*store_, {}), ElementsAre("run-2", "run-4", "run-3", "run-1", "run-5"));
  EXPECT_THAT(all_ids(*store_, {"sorrel", "", 2, ""}), ElementsAre("run-2", "run-4", "run-1"));
  EXPECT_THAT(all_ids(*store_, {"sorrel", "*", 1, ""}), ElementsAre("run-2", "run-4"));
  EXPECT_THAT(all_ids(*store_, {"", "*", 1, ""}), ElementsAre("run-2", "run-4", "run-3"));
  EXPECT_THAT(all_ids(*store_, {"", "north-1", 1, ""}), ElementsAre("run-2", "run-3"));
  EXPECT_THAT(all_ids(*store_, {"other", "north-1", 1, ""}), ElementsAre("run-3"));
  EXPECT_THAT(all_ids(*store_, {"sorrel", "none", 1, ""}), IsEmpty());
  RunRow listed = sample_run(2, "sorrel", "north-1");
  listed.finished_ms = 300;
  listed.body.clear();
  EXPECT_EQ(text_of(store_->list_runs({})->rows[0]), text_of(listed));
}

TEST_P(Contract, BaselinesAreListedLikewise) {
  for (int i : {1, 2, 3, 4, 5}) {
    ASSERT_THAT(store_->put_baseline(sample_baseline(i, i == 3 ? "other" : "sorrel")), Succeeds());
  }
  absl::StatusOr<Page<BaselineRow>> page = store_->list_baselines({"sorrel", "", 3, ""});
  ASSERT_THAT(page, Succeeds());
  ASSERT_EQ(page->rows.size(), 3u);
  EXPECT_EQ(page->rows[0].sha256, "baseline-5");
  EXPECT_EQ(page->rows[2].sha256, "baseline-2");
  EXPECT_EQ(page->rows[0].body, "");
  page = store_->list_baselines({"sorrel", "", 3, page->next_page_token});
  ASSERT_EQ(page->rows.size(), 1u);
  EXPECT_EQ(page->rows[0].sha256, "baseline-1");
  EXPECT_EQ(page->next_page_token, "");
  EXPECT_EQ(store_->list_baselines({"", "build 3", 3, ""})->rows.size(), 1u);
}

TEST_P(Contract, EventsAreNumberedAndListedLastFirst) {
  for (int i = 1; i <= 5; ++i) {
    EventRow event = sample_event(i);
    event.sequence = 77;                           // does not count
    event.at_ms = i == 3 ? 9'999'999'999'999 : i;  // nor does a clock that jumps
    ASSERT_THAT(store_->put_event(event), Succeeds());
  }
  absl::StatusOr<Page<EventRow>> page = store_->list_events(3, "");
  ASSERT_THAT(page, Succeeds());
  ASSERT_EQ(page->rows.size(), 3u);
  EXPECT_EQ(page->rows[0].sequence, 5);
  EXPECT_EQ(page->rows[0].kind, "run_accepted");
  EXPECT_EQ(page->rows[0].subject, "run-5");
  EXPECT_EQ(page->rows[0].text, "event 5");
  EXPECT_EQ(page->rows[2].sequence, 3);
  ASSERT_THAT(store_->put_event(sample_event(6)), Succeeds());
  page = store_->list_events(3, page->next_page_token);
  ASSERT_EQ(page->rows.size(), 2u);
  EXPECT_EQ(page->rows[0].sequence, 2);
  EXPECT_EQ(page->rows[1].sequence, 1);
  EXPECT_EQ(page->next_page_token, "");
}

// Rows of one time only, and new ones in front of, within and behind the page just fetched.
TEST_P(Contract, RowsAddedBetweenPagesNeitherRepeatNorHideOthers) {
  for (int i = 0; i < 20; ++i) put(i, 1000, "sorrel", "");
  std::multiset<std::string> seen;
  Query query{"sorrel", "", 3, ""};
  int added = 100;
  do {
    const absl::StatusOr<Page<RunRow>> page = store_->list_runs(query);
    ASSERT_THAT(page, Succeeds());
    for (const RunRow& row : page->rows) seen.insert(row.run_id);
    query.page_token = page->next_page_token;
    if (added < 130) {
      for (std::int64_t at : {999, 1000, 1001}) put(added++, at, "sorrel", "");
    }
  } while (!query.page_token.empty());
  for (int i = 0; i < 20; ++i) EXPECT_EQ(seen.count(concat("run-", i)), 1u) << i;
  for (const std::string& id : seen) EXPECT_EQ(seen.count(id), 1u) << id;
}

TEST_P(Contract, ATokenOfAnotherListIsRefused) {
  for (int i = 0; i < 5; ++i) put(i, i, "sorrel", "north-1");
  for (int i = 0; i < 5; ++i) ASSERT_THAT(store_->put_event(sample_event(i)), Succeeds());
  const std::string token = store_->list_runs({"sorrel", "", 2, ""})->next_page_token;
  ASSERT_NE(token, "");
  EXPECT_THAT(store_->list_runs({"sorrel", "", 1, token}), Succeeds());
  const auto refused = Fails(StatusCode::kInvalidArgument, "page_token: '");
  EXPECT_THAT(store_->list_runs({"", "", 2, token}), refused);
  EXPECT_THAT(store_->list_runs({"sorrel", "*", 2, token}), refused);
  EXPECT_THAT(store_->list_baselines({"sorrel", "", 2, token}), refused);
  EXPECT_THAT(store_->list_events(2, token), refused);
  EXPECT_THAT(store_->list_runs({"sorrel", "", 2, "17"}), refused);
}

TEST_P(Contract, NewestOfBuilds) {
  put(1, 100, "sorrel", "a");
  put(2, 200, "sorrel", "b");
  put(3, 300, "sorrel", "c");
  put(4, 400, "sorrel", "a");  // an old build checked again is the newest
  put(5, 400, "sorrel", "d");  // the same time, came later
  put(6, 500, "sorrel", "");
  put(7, 600, "other", "e");
  const auto ids = [&](int limit) {
    std::vector<std::string> found;
    const std::vector<RunRow> newest = *store_->newest_of_builds("sorrel", limit);
    for (const RunRow& run : newest) found.push_back(run.run_id);
    return found;
  };
  EXPECT_THAT(ids(10), ElementsAre("run-5", "run-4", "run-3", "run-2"));
  EXPECT_THAT(ids(2), ElementsAre("run-5", "run-4"));
  EXPECT_EQ(store_->newest_of_builds("sorrel", 1)->front().body, sample_run(5).body);
  EXPECT_THAT(*store_->newest_of_builds("", 5), IsEmpty());
}

TEST_P(Contract, TheAnchorIsTheFirstBuildAndItsNewestRun) {
  put(1, 200, "sorrel", "b");
  put(2, 100, "sorrel", "a");
  put(3, 50, "sorrel", "");
  put(4, 10, "other", "z");
  EXPECT_EQ(store_->anchor_build("sorrel")->run_id, "run-2");
  put(5, 300, "sorrel", "a");
  EXPECT_EQ(store_->anchor_build("sorrel")->run_id, "run-5");
  EXPECT_EQ(store_->anchor_build("sorrel")->body, sample_run(5).body);
  EXPECT_EQ(store_->anchor_build("other")->run_id, "run-4");
}

TEST_P(Contract, ThreadsMayWriteAndReadTogether) {
  constexpr int kThreads = 4;
  constexpr int kEach = 15;
  std::atomic<int> failures = 0;
  std::vector<std::thread> threads;
  for (int t = 0; t < kThreads; ++t) {
    threads.emplace_back([&, t] {
      for (int i = 0; i < kEach; ++i) {
        const RunRow run = sample_run(t * kEach + i, "sorrel", concat("build ", t));
        const bool good = store_->put_run(run).ok() && store_->put_event(sample_event(i)).ok() &&
                          text_of(*store_->get_run(run.run_id)) == text_of(run) &&
                          store_->list_runs({"sorrel", "*", 7, ""}).ok() &&
                          store_->anchor_build("sorrel").ok() &&
                          !store_->newest_of_builds("sorrel", 3)->empty();
        failures += good ? 0 : 1;
      }
    });
  }
  for (std::thread& thread : threads) thread.join();
  EXPECT_EQ(failures, 0);
  EXPECT_EQ(*store_->count_runs(), kThreads * kEach);
  EXPECT_EQ(all_ids(*store_, {}).size(), std::size_t{kThreads * kEach});
}

// Both implementations against the plain rule, over drawn histories with many equal times.
TEST_P(Contract, ListsAgreeWithSortingByHand) {
  std::vector<RunRow> rows;
  const std::string draws = sample_bytes(11, 3 * 200);
  for (int i = 0; i < 200; ++i) {
    const auto draw = [&](int k, int among) { return static_cast<unsigned char>(draws[3 * i + k]) % among; };
    RunRow run =
        sample_run(i, concat("library ", draw(0, 2)), draw(1, 3) == 0 ? "" : concat("b", draw(1, 9)));
    run.finished_ms = draw(2, 12);
    ASSERT_THAT(store_->put_run(run), Succeeds());
    rows.insert(rows.begin(), run);
  }
  std::stable_sort(rows.begin(), rows.end(),
                   [](const RunRow& a, const RunRow& b) { return a.finished_ms > b.finished_ms; });
  for (const char* library : {"", "library 0", "library 1"}) {
    for (const char* build : {"", "*", "b4", "b7"}) {
      std::vector<std::string> expected;
      for (const RunRow& row : rows) {
        const bool fits = std::string(build).empty() ||
                          (std::string(build) == "*" ? !row.event_build.empty() : row.event_build == build);
        if (fits && (std::string(library).empty() || row.library == library)) expected.push_back(row.run_id);
      }
      EXPECT_EQ(all_ids(*store_, {library, build, 7, ""}), expected) << library << " " << build;
      EXPECT_EQ(all_ids(*store_, {library, build, 1000, ""}), expected) << library << " " << build;
    }
  }
}

}  // namespace
}  // namespace brakeward::store
