// A disk that is full: the system's limit on the size of a file stands in for it, for it fails the write
// itself.
#include <signal.h>
#include <sys/resource.h>

#include <algorithm>

#include "store/concat.h"
#include "unit/store/child.h"
#include "unit/store/samples.h"

namespace brakeward::store {
namespace {

bool limit_files(rlim_t bytes) {
  ::signal(SIGXFSZ, SIG_IGN);
  rlimit limit;
  if (::getrlimit(RLIMIT_FSIZE, &limit) != 0) return false;
  limit.rlim_cur = std::min(bytes, limit.rlim_max);
  return ::setrlimit(RLIMIT_FSIZE, &limit) == 0;
}

RunRow run_of(int number) {
  RunRow run = sample_run(number);
  run.body = sample_bytes(static_cast<std::uint64_t>(number), 20'000);
  return run;
}

// Fills the file until a run is refused, and says how; "" when all is as it should be.
std::string fill(const std::filesystem::path& file, rlim_t bytes) {
  const absl::StatusOr<std::unique_ptr<Store>> store = open_sqlite_store(file, Access::kReadWrite);
  if (!store.ok()) return store.status().ToString();
  if (!limit_files(bytes)) return "no limit";
  int number = 0;
  absl::Status status;
  for (; status.ok() && number < 10'000; ++number) status = (*store)->put_run(run_of(number));
  if (!absl::IsResourceExhausted(status)) return status.ToString();
  const std::string message(status.message());
  if (message.find("the disk is full, and nothing was written; free space") == std::string::npos)
    return message;
  // The store goes on reading, without the run that was refused.
  const std::string refused = run_of(number - 1).run_id;
  if (!absl::IsNotFound((*store)->get_run(refused).status())) return "the refused run is there";
  if (*(*store)->count_runs() != number - 1) return "not as many runs as were acknowledged";
  for (int i = 0; i < number - 1; ++i) {
    if (text_of(*(*store)->get_run(run_of(i).run_id)) != text_of(run_of(i))) return "a run changed";
  }
  // Room again: the same run goes in.
  if (!limit_files(RLIM_INFINITY)) return "no way back";
  const absl::Status again = (*store)->put_run(run_of(number - 1));
  return again.ok() ? "" : again.ToString();
}

// The largest limit is reached by the main file first, when what the WAL holds is brought there; that goes
// unnoticed until the WAL is full as well.
TEST(FullDisk, ARunThatDoesNotFitIsRefusedAndTheOthersStay) {
  for (rlim_t bytes : {150'000, 300'001, 1'000'000, 6'000'000}) {
    const TemporaryFolder folder;
    EXPECT_EQ(in_child([&] { return fill(folder.file("history.db"), bytes); }), "") << bytes;
    const std::unique_ptr<Store> store = open_or_fail(folder.file("history.db"));
    ASSERT_NE(store, nullptr);
    const int count = static_cast<int>(*store->count_runs());
    EXPECT_GT(count, 1);
    for (int i = 0; i < count; ++i) EXPECT_THAT(store->get_run(run_of(i).run_id), Succeeds());
  }
}

// At every size up to that of a new store: it is made, or it is told that the disk is full, and it can be
// made later.
TEST(FullDisk, ANewStoreThatDoesNotFit) {
  int refused = 0;
  for (rlim_t bytes = 0; bytes < 80'000; bytes += 6000) {
    const TemporaryFolder folder;
    const std::string answer = in_child([&]() -> std::string {
      if (!limit_files(bytes)) return "no limit";
      const absl::StatusOr<std::unique_ptr<Store>> store =
          open_sqlite_store(folder.file("history.db"), Access::kReadWrite);
      return absl::IsResourceExhausted(store.status()) ? "full" : store.status().ToString();
    });
    EXPECT_TRUE(answer == "full" || answer == "OK") << bytes << ": " << answer;
    refused += answer == "full" ? 1 : 0;
    const std::unique_ptr<Store> store = open_or_fail(folder.file("history.db"));
    ASSERT_NE(store, nullptr) << bytes;
    EXPECT_THAT(store->put_run(sample_run(1)), Succeeds());
  }
  EXPECT_GT(refused, 3);
}

}  // namespace
}  // namespace brakeward::store
