// What a fit refuses, and that it says so with a remedy.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "files.h"
#include "gate/fit.h"
#include "made_stops.h"

namespace brakeward::real_logs {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

class FitFaults : public testing::Test {
 protected:
  void SetUp() override {
    options_.library =
        fs::path(testing::TempDir()) /
        (std::string("brakeward_") + testing::UnitTest::GetInstance()->current_test_info()->name());
    options_.sensitivity = false;
    fs::remove_all(options_.library);
    write_made_library(options_.library, 1);
  }
  void TearDown() override { fs::remove_all(options_.library); }

  // The index without the lines that hold any of `words`.
  void drop_from_index(std::initializer_list<const char*> words) {
    const fs::path index = options_.library / "library.textproto";
    std::istringstream in(tests::read_file(index));
    std::string kept, line;
    while (std::getline(in, line)) {
      bool keep = true;
      for (const char* w : words) keep = keep && line.find(w) == std::string::npos;
      if (keep) kept += line + "\n";
    }
    tests::write_file(index, kept);
  }

  void expect_refused(absl::StatusCode code, const char* text) {
    const auto report = gate::fit_gain(options_);
    ASSERT_FALSE(report.ok());
    EXPECT_EQ(report.status().code(), code);
    EXPECT_THAT(std::string(report.status().message()), HasSubstr(text));
  }

  gate::FitOptions options_;
};

TEST_F(FitFaults, ALagOutOfRange) {
  for (double lag : {-0.01, 0.51, std::nan("")}) {
    options_.lag_s = lag;
    expect_refused(absl::StatusCode::kInvalidArgument, "give 0 to 0.5 s");
  }
}

TEST_F(FitFaults, ALibraryThatIsNotThere) {
  options_.library /= "nowhere";
  expect_refused(absl::StatusCode::kInvalidArgument, "library.textproto");
}

TEST_F(FitFaults, ALogThatIsNotThere) {
  fs::remove(options_.library / "recordings/two_y.csv");
  expect_refused(absl::StatusCode::kInvalidArgument, "two_y.csv");
}

TEST_F(FitFaults, OneGroupOnly) {
  drop_from_index({"/two_", "/three_"});
  expect_refused(absl::StatusCode::kInvalidArgument, "2 stops that enter at pressure, in 1 groups");
}

TEST_F(FitFaults, AStopThatDoesNotSlowDown) {
  spoil_made_stop(options_.library, "one_y", -0.3);
  expect_refused(absl::StatusCode::kInvalidArgument, "does not slow down");
}

TEST_F(FitFaults, AStretchWithoutBraking) {
  const fs::path file = options_.library / "scenarios/one_x.textproto";
  std::string text = tests::read_file(file);
  text.replace(text.find("end_s: 4"), 8, "end_s: 0.7");
  tests::write_file(file, text);
  expect_refused(absl::StatusCode::kInvalidArgument, "no straight braked part");
}

}  // namespace
}  // namespace brakeward::real_logs
