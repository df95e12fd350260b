// Bounded queue and workers. No clock decides: jobs wait for gates that the test opens.
#include "gate/runner.h"

#include <gtest/gtest.h>

#include <atomic>
#include <latch>

namespace brakeward::gate {
namespace {

using namespace std::chrono_literals;

std::chrono::steady_clock::time_point far() {
  return std::chrono::steady_clock::now() + 60s;
}

TEST(Runner, RunsJobsInOrderAndSaysHowManyWaitBefore) {
  Runner runner(1, 3);
  std::latch open(1), started(1);
  std::vector<int> order;
  ASSERT_EQ(runner.take([&] { started.count_down(), open.wait(); })->ahead, 0);
  started.wait();
  for (int i = 0; i < 3; ++i) EXPECT_EQ(runner.take([&, i] { order.push_back(i); })->ahead, i);
  EXPECT_FALSE(runner.take([] {})) << "three wait, the queue has three places";
  EXPECT_EQ(runner.running(), 1);
  EXPECT_EQ(runner.waiting(), 3);
  EXPECT_FALSE(runner.wait_idle(std::chrono::steady_clock::now()));
  open.count_down();
  ASSERT_TRUE(runner.wait_idle(far()));
  EXPECT_EQ(order, (std::vector<int>{0, 1, 2}));
  EXPECT_TRUE(runner.take([] {})) << "there is room again";
}

TEST(Runner, AnIdleWorkerNeedsNoPlaceInTheQueue) {
  Runner runner(2, 0);
  std::latch open(1);
  EXPECT_TRUE(runner.take([&] { open.wait(); }));
  EXPECT_TRUE(runner.take([&] { open.wait(); }));
  EXPECT_FALSE(runner.take([] {}));
  open.count_down();
}

TEST(Runner, AHurriedJobRunsWhileTheWorkersAreBusy) {
  Runner runner(1, 2);
  std::latch open(1), done(1), started(1);
  std::atomic<bool> other{false};
  runner.take([&] { started.count_down(), open.wait(); });
  started.wait();
  const auto first = runner.take([&] { other = true; });
  const auto second = runner.take([&] { done.count_down(); });
  EXPECT_EQ(second->ahead, 1);
  runner.hurry(second->job);
  done.wait();
  EXPECT_FALSE(other) << "the one before it still waits";
  runner.hurry(second->job);
  runner.hurry(first->job + 1000);
  open.count_down();
  ASSERT_TRUE(runner.wait_idle(far()));
  EXPECT_TRUE(other);
}

TEST(Runner, TellsHowManyWaitAndRunUpToTheEnd) {
  std::vector<std::pair<int, int>> told;
  {
    Runner runner(1, 2, [&](int waiting, int running) { told.emplace_back(waiting, running); });
    std::latch open(1), started(1);
    runner.take([&] { started.count_down(), open.wait(); });
    started.wait();
    runner.take([] {});
    open.count_down();
  }
  const std::vector<std::pair<int, int>> expected = {{1, 0}, {0, 1}, {1, 1}, {1, 0}, {0, 1}, {0, 0}};
  EXPECT_EQ(told, expected);
}

TEST(Runner, ClosedTakesNothingAndEndsWhatItTook) {
  std::atomic<int> ran{0};
  {
    Runner runner(1, 10);
    for (int i = 0; i < 5; ++i) ASSERT_TRUE(runner.take([&] { ++ran; }));
    runner.close();
    EXPECT_FALSE(runner.take([&] { ++ran; }));
  }
  EXPECT_EQ(ran, 5);
}

}  // namespace
}  // namespace brakeward::gate
