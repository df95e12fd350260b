// Processes that are killed at any moment, and processes that write at once.
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <set>

#include "store/concat.h"
#include "unit/store/child.h"
#include "unit/store/samples.h"

namespace brakeward::store {
namespace {

RunRow run_of(int number) {
  RunRow run = sample_run(number, "sorrel", concat("build ", number % 5));
  run.body =
      sample_bytes(static_cast<std::uint64_t>(number), static_cast<std::size_t>(number) * 997 % 60'000);
  return run;
}

// Writes runs from `first` on for ever, acknowledging each by its number; opens and closes now and then, so
// that kills fall on that, too.
void write_for_ever(const std::filesystem::path& file, int first, int output) {
  for (int number = first;;) {
    const absl::StatusOr<std::unique_ptr<Store>> store = open_sqlite_store(file, Access::kReadWrite);
    if (!store.ok()) return;
    for (int i = 0; i < 9; ++i, ++number) {
      if (!(*store)->put_run(run_of(number)).ok()) return;
      if (::write(output, &number, sizeof number) != sizeof number) return;
    }
    if (!(*store)->checkpoint().ok()) return;
  }
}

// The acknowledgement with which the kill comes, and how much later, are drawn; whatever was acknowledged
// before the kill is there afterwards, and nothing else but at most the one row under way.
TEST(Crash, WhatWasAcknowledgedOutlivesAKilledWriter) {
  constexpr int kRounds = 30;
  const TemporaryFolder folder;
  const std::string draws = sample_bytes(3, 2 * kRounds);
  std::set<int> acknowledged;
  int next = 0;
  for (int round = 0; round < kRounds; ++round) {
    const Child child =
        start_child([&](int output) { write_for_ever(folder.file("history.db"), next, output); });
    ASSERT_GT(child.id, 0);
    const int until = static_cast<unsigned char>(draws[2 * round]) % 12;
    int number = -1;
    for (int i = 0; i < until && ::read(child.output, &number, sizeof number) == sizeof number; ++i) {
      acknowledged.insert(number);
    }
    ::usleep(static_cast<unsigned char>(draws[2 * round + 1]) * 20);
    ASSERT_EQ(::kill(child.id, SIGKILL), 0);
    int status = 0;
    ASSERT_EQ(::waitpid(child.id, &status, 0), child.id);
    ASSERT_TRUE(WIFSIGNALED(status)) << "the child gave up by itself";
    while (::read(child.output, &number, sizeof number) == sizeof number) acknowledged.insert(number);
    ::close(child.output);

    const std::unique_ptr<Store> store = open_or_fail(folder.file("history.db"));
    ASSERT_NE(store, nullptr);
    for (int kept : acknowledged) {
      const absl::StatusOr<RunRow> run = store->get_run(run_of(kept).run_id);
      ASSERT_THAT(run, Succeeds());
      ASSERT_EQ(text_of(*run), text_of(run_of(kept)));
    }
    const std::int64_t count = *store->count_runs();
    const std::int64_t sure = static_cast<std::int64_t>(acknowledged.size());
    ASSERT_TRUE(count == sure || count == sure + 1) << count << " rows, acknowledged " << sure;
    next = static_cast<int>(count);
    if (count > sure) acknowledged.insert(next - 1);
  }
  EXPECT_GT(acknowledged.size(), 50u);
}

// All open a file that is not there yet, at the same time.
TEST(Crash, SeveralProcessesMakeAndWriteOneFile) {
  constexpr int kProcesses = 4;
  constexpr int kEach = 25;
  const TemporaryFolder folder;
  std::vector<Child> children;
  for (int p = 0; p < kProcesses; ++p) {
    children.push_back(start_child([&](int output) {
      std::string answer;
      const auto note = [&](const absl::Status& status) {
        if (!status.ok()) answer += status.ToString() + "\n";
      };
      const auto store =
          open_sqlite_store(folder.file("history.db"), Access::kReadWrite, std::chrono::seconds(60));
      note(store.status());
      for (int i = 0; store.ok() && i < kEach; ++i) {
        note((*store)->put_run(run_of(p * kEach + i)));
        note((*store)->put_run(run_of(9999)));  // by all of them, the same
        note((*store)->put_event(sample_event(p)));
        note((*store)->list_runs({"", "", 5, ""}).status());
      }
      if (::write(output, answer.data(), answer.size()) < 0) ::_exit(1);
    }));
  }
  for (const Child& child : children) {
    std::string answer(1000, '\0');
    EXPECT_EQ(::read(child.output, answer.data(), answer.size()), 0) << answer;
    ::close(child.output);
    int status = -1;
    EXPECT_EQ(::waitpid(child.id, &status, 0), child.id);
    EXPECT_EQ(status, 0);
  }
  const std::unique_ptr<Store> store = open_or_fail(folder.file("history.db"), Access::kReadOnly);
  ASSERT_NE(store, nullptr);
  EXPECT_EQ(*store->count_runs(), kProcesses * kEach + 1);
  for (int number = 0; number < kProcesses * kEach; ++number) {
    EXPECT_THAT(store->get_run(run_of(number).run_id), Succeeds());
  }
  const std::vector<EventRow> events = store->list_events(1000, "")->rows;
  ASSERT_EQ(events.size(), std::size_t{kProcesses * kEach});
  for (std::size_t i = 0; i < events.size(); ++i) {
    EXPECT_EQ(events[i].sequence, static_cast<std::int64_t>(events.size() - i));
  }
}

}  // namespace
}  // namespace brakeward::store
