// The fit on stops the engine made itself: what went in must come out. No real log is needed.
#include "made_stops.h"

#include <gtest/gtest.h>

#include "gate/fit.h"
#include "invariants.h"

namespace brakeward::real_logs {
namespace {

namespace fs = std::filesystem;

class MadeStops : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::path(testing::TempDir()) /
              (std::string("brakeward_") + testing::UnitTest::GetInstance()->current_test_info()->name());
    fs::remove_all(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }

  absl::StatusOr<gate::FitReport> fit() const {
    gate::FitOptions o;
    o.library = folder_;
    o.sensitivity = false;
    return gate::fit_gain(o);
  }

  fs::path folder_;
};

TEST_F(MadeStops, TheKnownGainIsFound) {
  constexpr double kKnown = 1.17;
  write_made_library(folder_, kKnown);
  const auto report = fit();
  ASSERT_TRUE(report.ok()) << report.status().message();
  ASSERT_EQ(report->stops.size(), std::size(kMadeStops));
  EXPECT_NEAR(report->gain / kKnown, 1, 1e-6);
  for (const auto& s : report->stops) {
    EXPECT_NEAR(s.gain / kKnown, 1, 1e-6) << s.scenario;
    EXPECT_NEAR(s.model.speed_drop_error, 0, 1e-6) << s.scenario;
    EXPECT_NEAR(s.model.distance_error, 0, 1e-6) << s.scenario;
  }
  expect_consistent(*report);
}

TEST_F(MadeStops, AStopNeverEntersItsOwnFit) {
  write_made_library(folder_, 0.9);
  const auto before = fit();
  ASSERT_TRUE(before.ok()) << before.status().message();
  spoil_made_stop(folder_, "two_x", 0.1);
  const auto after = fit();
  ASSERT_TRUE(after.ok()) << after.status().message();
  for (size_t i = 0; i < before->stops.size(); ++i) {
    const auto &a = before->stops[i], &b = after->stops[i];
    if (a.group == "two") {
      EXPECT_EQ(a.gain, b.gain) << a.scenario;
    } else {
      EXPECT_GT(std::fabs(a.gain / b.gain - 1), 1e-3) << a.scenario;
      EXPECT_NE(a.line.speed_drop_mps, b.line.speed_drop_mps) << a.scenario;
      EXPECT_NE(a.constant.speed_drop_mps, b.constant.speed_drop_mps) << a.scenario;
    }
    // Of the same group but another stop: predicted alike by all three, to the bit.
    if (a.scenario == "two_y") {
      EXPECT_EQ(a.model.speed_drop_mps, b.model.speed_drop_mps);
      EXPECT_EQ(a.line.speed_drop_mps, b.line.speed_drop_mps);
      EXPECT_EQ(a.constant.speed_drop_mps, b.constant.speed_drop_mps);
    }
  }
  expect_consistent(*after);
}

TEST_F(MadeStops, ItSaysWhenTheEngineIsBetter) {
  write_made_library(folder_, 1.1);
  const auto report = fit();
  ASSERT_TRUE(report.ok()) << report.status().message();
  // The engine made these stops, so it must beat a constant; the claim follows the numbers.
  EXPECT_TRUE(report->drop_over_constant.proven());
  EXPECT_EQ(report->drop_over_constant.stops_nearer, 6);
  EXPECT_NE(gate::render(*report).find("an improvement"), std::string::npos);
}

TEST_F(MadeStops, TwiceTheSameBits) {
  write_made_library(folder_, 1.3);
  const auto one = fit(), two = fit();
  ASSERT_TRUE(one.ok() && two.ok());
  EXPECT_EQ(one->gain, two->gain);
  EXPECT_EQ(gate::render(*one), gate::render(*two));
}

}  // namespace
}  // namespace brakeward::real_logs
