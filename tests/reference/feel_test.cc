// Feel against what was put in: a straight line of known gain with a play of known width, moved slowly up and
// down. References are the numbers the signals are made of; the tick, 1 ms at 4 mm/s, is their grain.
#define BRAKEWARD_ISA isa_feel_test
#include "measure/feel.h"

#include <algorithm>
#include <cmath>

#include "gtest/gtest.h"
#include "measure/driver_folds.inl.h"

namespace brakeward::measure {
namespace {

constexpr double kRate = 0.004;          // m/s
constexpr double kGrain = kRate * 1e-3;  // m of travel in a tick
constexpr double kStep = 0.5;            // m/s^2
constexpr double kTop = 0.020;           // m

struct Made {
  double threshold = 0.002, gain = 300, play = 0, coasting = 0.4, bend = 0;
};

FeelFolds<double> moved(const Made& made) {
  FeelFolds<double> f{};
  for (int i = 0; i < kFeelLevels; ++i) f.up[i] = f.down[i] = -1;
  const FeelParams<double> params{500, kStep, {0, 0}};
  double shaped = 0;
  for (long tick = 1; tick <= 12000; ++tick) {
    const double t = 1e-3 * static_cast<double>(tick) - 0.5;
    const double effort = std::max(0.0, t < 5 ? kRate * t : kTop - kRate * (t - 5));
    shaped = std::clamp(shaped, effort - made.play / 2, effort + made.play / 2);
    const double stroke = std::max(0.0, shaped - made.threshold);
    fold_feel(params, double(tick), effort, made.coasting + made.gain * stroke + made.bend * stroke * stroke,
              f);
  }
  return f;
}

TEST(Feel, FindsGainThresholdAndNoHysteresisOfALine) {
  const FeelFolds<double> f = moved({});
  ASSERT_TRUE(is_whole(f));
  const FeelCurve c = feel_curve(f, kStep);
  EXPECT_NEAR(c.gain, 300, 300 * kGrain / 0.01);
  EXPECT_NEAR(c.threshold, 0.002 + kStep / 300, kGrain);
  EXPECT_NEAR(c.effort, 0.002 + 8 * kStep / 300, kGrain);
  EXPECT_NEAR(c.hysteresis, 0, 2 * kGrain);
  EXPECT_NEAR(c.linearity, 0, 300 * kGrain / (8 * kStep));
  EXPECT_NEAR(f.coasting, 0.4, 1e-12);
}

TEST(Feel, FindsAPlayAsItsHysteresisAndHalfOfItInTheThreshold) {
  const FeelCurve without = feel_curve(moved({}), kStep);
  Made made;
  made.play = 0.0006;
  const FeelCurve with = feel_curve(moved(made), kStep);
  EXPECT_NEAR(with.hysteresis, 0.0006, 2 * kGrain);
  EXPECT_NEAR(with.threshold - without.threshold, 0.0003, 2 * kGrain);
  EXPECT_NEAR(with.gain, without.gain, 300 * kGrain / 0.01);
}

// d = g x + b x^2 over x from its first to its last level: the least-squares line of a parabola lies between.
TEST(Feel, FindsABendInTheLinearityAlone) {
  Made made;
  made.bend = 8000;
  const FeelCurve c = feel_curve(moved(made), kStep);
  EXPECT_GT(c.linearity, 0.02);
  EXPECT_NEAR(c.hysteresis, 0, 2 * kGrain);
}

TEST(Feel, IsNotWholeWhereALevelIsNeverReached) {
  Made made;
  made.gain = 150;
  EXPECT_FALSE(is_whole(moved(made)));
}

TEST(Feel, IsAsFarFromAnotherCurveAsTheirSharesDiffer) {
  const FeelFolds<double> line = moved({});
  EXPECT_EQ(feel_distance(line, line), 0);
  FeelFolds<double> scaled = line;
  for (double& effort : scaled.up) effort *= 25;  // another unit is no distance
  EXPECT_NEAR(feel_distance(line, scaled), 0, 1e-12);
  FeelFolds<double> other = line;
  for (int i = 0; i < kFeelLevels - 1; ++i) other.up[i] += 0.1 * other.up[kFeelLevels - 1];
  EXPECT_NEAR(feel_distance(line, other), 0.1, 1e-12);
}

}  // namespace
}  // namespace brakeward::measure
