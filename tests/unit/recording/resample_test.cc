#include "logs.h"

namespace brakeward::recording {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

Log ramp() {
  Log log;
  log.time_s = {0, 0.25, 0.375, 1, 1.5, 2};
  for (double t : log.time_s) log.signals[static_cast<size_t>(Signal::kSpeed)].push_back(10 + 4 * t);
  return log;
}

TEST(Resample, IsExactAtTheSamples) {
  Log log = ramp();
  log.signals[static_cast<size_t>(Signal::kSpeed)] = {0.1, 0.7, 1.0 / 3, 12.9, -3.3, 1e-9};
  for (size_t i = 0; i < log.time_s.size(); ++i) {
    EXPECT_THAT(resample(log, Signal::kSpeed, log.time_s[i], 1, 1), ElementsAre(log[Signal::kSpeed][i]));
  }
}

TEST(Resample, OfALinearSignalIsExact) {
  // All numbers are sums of few powers of two, so that nothing is rounded but the share between samples.
  const std::vector<double> values = resample(ramp(), Signal::kSpeed, 0, 0.0625, 33);
  for (size_t k = 0; k < values.size(); ++k)
    EXPECT_DOUBLE_EQ(values[k], 10 + 4 * 0.0625 * static_cast<double>(k));
}

TEST(Resample, HoldsTheEnds) {
  EXPECT_THAT(resample(ramp(), Signal::kSpeed, -1, 2, 3), ElementsAre(10, 14, 18));
}

TEST(Resample, WorksBackwardsAndAtOneTime) {
  EXPECT_THAT(resample(ramp(), Signal::kSpeed, 2, -1, 3), ElementsAre(18, 14, 10));
  EXPECT_THAT(resample(ramp(), Signal::kSpeed, 1, 0, 2), ElementsAre(14, 14));
  Log bent = ramp();
  bent.signals[static_cast<size_t>(Signal::kSpeed)] = {0, 1, 1, 1, 1, 9};
  EXPECT_THAT(resample(bent, Signal::kSpeed, 1.75, -0.8125, 3), ElementsAre(5, 1, 0.5));
}

TEST(Resample, OfOneSampleHoldsIt) {
  Log log;
  log.time_s = {0};
  log.signals[static_cast<size_t>(Signal::kSpeed)] = {7};
  EXPECT_THAT(resample(log, Signal::kSpeed, -1, 1, 3), ElementsAre(7, 7, 7));
}

TEST(Resample, OfASignalNotLoggedIsEmpty) {
  EXPECT_THAT(resample(ramp(), Signal::kPedalForce, 0, 1, 3), IsEmpty());
}

}  // namespace
}  // namespace brakeward::recording
