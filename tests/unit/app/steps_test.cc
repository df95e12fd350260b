// One list, forwards and backwards.
#include "app/steps.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <future>

namespace brakeward::app {
namespace {

using std::chrono::milliseconds;
using testing::ElementsAre;

class StepsTest : public testing::Test {
 protected:
  StepsTest() : steps_([](const Step& step) { FAIL() << step.name << " is overdue"; }) {
    testing::internal::CaptureStderr();
  }
  ~StepsTest() override { testing::internal::GetCapturedStderr(); }

  // Notes its name with "+" when started, "-" when stopped.
  Step step(const std::string& name, absl::Status start = {}, absl::Status stop = {}) {
    return {name, [this, name, start] { return happened_.push_back("+" + name), start; },
            [this, name, stop](Clock::time_point) { return happened_.push_back("-" + name), stop; }};
  }

  std::vector<std::string> happened_;
  Steps steps_;
};

TEST_F(StepsTest, StartForwardsAndStopBackwards) {
  for (const char* name : {"a", "b", "c"}) steps_.add(step(name));
  EXPECT_TRUE(steps_.start().ok());
  EXPECT_TRUE(steps_.stop().ok());
  EXPECT_THAT(happened_, ElementsAre("+a", "+b", "+c", "-c", "-b", "-a"));
  EXPECT_TRUE(steps_.stop().ok());
  EXPECT_EQ(happened_.size(), 6u) << "what is stopped stays so";
}

TEST_F(StepsTest, AFailedStartStopsThoseStartedAndIsTheAnswer) {
  steps_.add(step("a", {}, absl::InternalError("stop of a")));
  steps_.add(step("b"));
  steps_.add(step("c", absl::UnavailableError("port taken")));
  steps_.add(step("d"));
  EXPECT_EQ(steps_.start(), absl::UnavailableError("port taken"));
  EXPECT_THAT(happened_, ElementsAre("+a", "+b", "+c", "-b", "-a"));
}

TEST_F(StepsTest, AFailedStopDoesNotKeepTheOthersFromBeingStopped) {
  steps_.add(step("a", {}, absl::InternalError("second")));
  steps_.add(step("b"));
  steps_.add(step("c", {}, absl::UnavailableError("first")));
  EXPECT_TRUE(steps_.start().ok());
  EXPECT_EQ(steps_.stop(), absl::UnavailableError("first"));
  EXPECT_THAT(happened_, ElementsAre("+a", "+b", "+c", "-c", "-b", "-a"));
}

TEST_F(StepsTest, WhatIsNotSetHasNothingToDo) {
  steps_.add({"nothing", nullptr, nullptr});
  steps_.add(step("a"));
  EXPECT_TRUE(steps_.start().ok());
  EXPECT_TRUE(steps_.stop().ok());
  EXPECT_THAT(happened_, ElementsAre("+a", "-a"));
}

TEST_F(StepsTest, AStopIsToldItsDeadline) {
  Clock::time_point told;
  Step a = step("a");
  a.stop_within = milliseconds(250);
  a.stop = [&](Clock::time_point deadline) { return told = deadline, absl::OkStatus(); };
  steps_.add(a);
  EXPECT_TRUE(steps_.start().ok());
  const auto before = Clock::now();
  EXPECT_TRUE(steps_.stop().ok());
  EXPECT_GE(told, before + milliseconds(250));
  EXPECT_LE(told, Clock::now() + milliseconds(250));
}

TEST(StepsOverdue, AreToldWhileTheyGoOn) {
  std::promise<std::string> told;
  Steps steps([&](const Step& step) { told.set_value(step.name); });
  std::future<std::string> name = told.get_future();
  std::string overdue;
  Step slow{"slow", [&] { return overdue = name.get(), absl::OkStatus(); }, nullptr};
  slow.start_within = milliseconds(0);
  steps.add(slow);
  testing::internal::CaptureStderr();
  EXPECT_TRUE(steps.start().ok()) << "it ended after all";
  testing::internal::GetCapturedStderr();
  EXPECT_EQ(overdue, "slow");
}

TEST(StepsLog, NamesEachStepWithWhatHappened) {
  Steps steps([](const Step&) {});
  steps.add({"store", [] { return absl::OkStatus(); }, [](Clock::time_point) { return absl::OkStatus(); }});
  steps.add({"page", [] { return absl::UnavailableError("the port is taken"); }, nullptr});
  testing::internal::CaptureStderr();
  EXPECT_FALSE(steps.start().ok());
  const std::string said = testing::internal::GetCapturedStderr();
  EXPECT_THAT(said, testing::ContainsRegex(" info store: started in [0-9]+ ms\n"));
  EXPECT_THAT(said, testing::ContainsRegex(" error page: the port is taken\n"));
  EXPECT_THAT(said, testing::ContainsRegex(" error page: not started, after [0-9]+ ms\n"));
  EXPECT_THAT(said, testing::ContainsRegex(" info store: stopped in [0-9]+ ms\n"));
}

}  // namespace
}  // namespace brakeward::app
