// Ten thousand runs: lists are whole, and the questions behind the metrics stay cheap.
#include <set>

#include "store/concat.h"
#include "unit/store/samples.h"

namespace brakeward::store {
namespace {

constexpr int kRuns = 10'000;
constexpr int kBuilds = 40;

// In memory where there is such a folder: ten thousand waits for a disk would prove nothing here.
class ManyRows : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    const std::filesystem::path memory = "/dev/shm";
    std::string pattern =
        (std::filesystem::is_directory(memory) ? memory.string() : testing::TempDir()) + "/brakeward_XXXXXX";
    ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
    const std::unique_ptr<Store> store = open_or_fail(folder_ / "history.db");
    ASSERT_NE(store, nullptr);
    for (int i = 0; i < kRuns; ++i) ASSERT_THAT(store->put_run(run_of(i)), Succeeds());
  }
  static void TearDownTestSuite() { std::filesystem::remove_all(folder_); }

  // Times that repeat, in no order; every third run is a variant.
  static RunRow run_of(int number) {
    RunRow run = sample_run(number, number % 4 == 0 ? "larch" : "sorrel",
                            number % 3 == 0 ? "" : concat("build ", number * 7919 % kBuilds));
    run.finished_ms = number * 7919LL % 2000;
    return run;
  }

  static std::filesystem::path folder_;
};

std::filesystem::path ManyRows::folder_;

TEST_F(ManyRows, AllPagesTogetherHoldEveryRunOnceInOrder) {
  const std::unique_ptr<Store> store = open_or_fail(folder_ / "history.db", Access::kReadOnly);
  for (const Query& query : {Query{"", "", 1000, ""}, Query{"sorrel", "", 97, ""},
                             Query{"larch", "*", 61, ""}, Query{"", "build 7", 13, ""}}) {
    std::set<std::string> expected;
    for (int i = 0; i < kRuns; ++i) {
      const RunRow run = run_of(i);
      const bool build = query.event_build.empty() || run.event_build == query.event_build ||
                         (query.event_build == "*" && !run.event_build.empty());
      if (build && (query.library.empty() || run.library == query.library)) expected.insert(run.run_id);
    }
    const std::vector<std::string> ids = all_ids(*store, query);
    EXPECT_EQ(ids.size(), expected.size());
    EXPECT_EQ(std::set<std::string>(ids.begin(), ids.end()), expected);
  }
}

TEST_F(ManyRows, BothStoresAnswerTheSame) {
  const std::unique_ptr<Store> store = open_or_fail(folder_ / "history.db", Access::kReadOnly);
  const std::unique_ptr<Store> memory = open_memory_store();
  for (int i = 0; i < kRuns; ++i) ASSERT_THAT(memory->put_run(run_of(i)), Succeeds());
  EXPECT_EQ(*store->count_runs(), kRuns);
  for (const char* library : {"sorrel", "larch"}) {
    EXPECT_EQ(text_of(*store->anchor_build(library)), text_of(*memory->anchor_build(library)));
    for (int limit : {1, 5, 1000}) {
      const std::vector<RunRow> kept = *store->newest_of_builds(library, limit);
      const std::vector<RunRow> there = *memory->newest_of_builds(library, limit);
      ASSERT_EQ(kept.size(), there.size());
      EXPECT_FALSE(kept.empty());
      for (std::size_t i = 0; i < kept.size(); ++i) EXPECT_EQ(text_of(kept[i]), text_of(there[i]));
    }
    EXPECT_EQ(all_ids(*store, {library, "*", 500, ""}), all_ids(*memory, {library, "*", 500, ""}));
  }
}

}  // namespace
}  // namespace brakeward::store
