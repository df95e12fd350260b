// ISO/TS 18571 on curves with known answers. Corridor, phase and slope follow from hand arithmetic; the
// printed values (derived, by an independent implementation in another language) hold to their last digit. Of
// the magnitude only to 0.005, for paths of equal cost may be chosen otherwise.
#include "measure/rating.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>

#include "gtest/gtest.h"

namespace brakeward::measure {
namespace {

constexpr size_t kSamples = 501;
constexpr double kPrinted = 0.51e-6, kPath = 0.005;

std::vector<double> curve(const std::function<double(double)>& y) {
  std::vector<double> out(kSamples);
  for (size_t i = 0; i < kSamples; ++i) out[i] = y(static_cast<double>(i) / (kSamples - 1));
  return out;
}
double half(double u) {
  return std::sin(std::numbers::pi * u);
}
// A smooth hump of width w about c.
double hump(double c, double w, double u) {
  const double s = std::sin(std::numbers::pi * std::clamp((u - c) / w + 0.5, 0.0, 1.0));
  return s * s;
}

TEST(Rating, HasThePrintedValues) {
  const auto t1 = curve(half), t2 = curve([](double u) { return hump(.4, .4, u); });
  const struct {
    const char* name;
    std::vector<double> reference, compared;
    double z, phase, magnitude, slope, total;
  } rows[] = {
      {"itself", t2, t2, 1, 1, 1, 1, 1},
      {"1.10 times", t1, curve([](double u) { return 1.1 * half(u); }), .907569, 1, .953144, .95, .943657},
      {"1.2 times", t2, curve([](double u) { return 1.2 * hump(.4, .4, u); }), .905881, 1, .896773, .9,
       .921707},
      {"25 samples late", t2, curve([](double u) { return hump(.45, .4, u); }), .752755, .750499, 1, 1,
       .851202},
      {"0.2 more", t2, curve([](double u) { return hump(.4, .4, u) + .2; }), .444444, 1, .055555, 1, .588889},
  };
  for (const auto& row : rows) {
    const auto r = rate(row.reference, row.compared);
    ASSERT_TRUE(r.has_value()) << row.name;
    EXPECT_NEAR(r->corridor, row.z, kPrinted) << row.name;
    EXPECT_NEAR(r->phase, row.phase, kPrinted) << row.name;
    EXPECT_NEAR(r->magnitude, row.magnitude, kPath) << row.name;
    EXPECT_NEAR(r->slope, row.slope, kPrinted) << row.name;
    EXPECT_NEAR(r->total, row.total, 0.2 * kPath) << row.name;
  }
}

// By hand: an offset of 0.2 leaves ((0.5 - 0.2) / 0.45)^2 = 4/9 of the corridor; 25 of at most 100.2 samples
// late leave (100.2 - 25) / 100.2 of the phase; a scale s costs |1 - s| / 2 of the slope.
TEST(Rating, FollowsHandArithmetic) {
  const auto t = curve([](double u) { return hump(.4, .4, u); });
  EXPECT_NEAR(rate(t, curve([](double u) { return hump(.4, .4, u) + .2; }))->corridor, 4.0 / 9, 1e-12);
  const auto late = rate(t, curve([](double u) { return hump(.45, .4, u); }));
  EXPECT_EQ(late->lag, 25);
  EXPECT_NEAR(late->phase, (100.2 - 25) / 100.2, 1e-12);
  EXPECT_EQ(rate(t, curve([](double u) { return hump(.35, .4, u); }))->lag, -25);
  for (const double scale : {0.5, 0.9, 1.3, 2.0})
    EXPECT_NEAR(rate(t, curve([&](double u) { return scale * hump(.4, .4, u); }))->slope,
                1 - std::fabs(1 - scale) / 2, 1e-12)
        << scale;
}

TEST(Rating, FallsAsTheCurveMovesAway) {
  const auto t = curve([](double u) { return hump(.4, .4, u); });
  double before = 1.01;
  for (const double c : {.40, .42, .45, .50, .55, .59}) {
    const double now = rate(t, curve([&](double u) { return hump(c, .4, u); }))->total;
    EXPECT_LT(now, before) << c;
    before = now;
  }
  before = 1.01;
  for (const double scale : {1.0, 1.1, 1.3, 1.6, 2.0}) {
    const double now = rate(t, curve([&](double u) { return scale * hump(.4, .4, u); }))->total;
    EXPECT_LT(now, before) << scale;
    before = now;
  }
}

// Sign and unit do not matter.
TEST(Rating, IsTheSameInAnyUnit) {
  const auto t = curve([](double u) { return hump(.4, .4, u); });
  const auto c = curve([](double u) { return 1.2 * hump(.42, .5, u); });
  const auto scaled = [](std::vector<double> x) {
    for (double& v : x) v *= -8;
    return x;
  };
  EXPECT_EQ(rate(t, c)->total, rate(scaled(t), scaled(c))->total);
}

TEST(Rating, SaysWhyThereIsNone) {
  const auto t = curve(half), flat = curve([](double) { return 2.0; });
  EXPECT_EQ(why_not_rated(t, t), "");
  EXPECT_EQ(why_not_rated(flat, t), "the recording is constant here");
  EXPECT_EQ(why_not_rated(std::span(t).first(49), std::span(t).first(49)),
            "fewer than 50 samples were recorded");
  EXPECT_NE(why_not_rated(t, std::span(t).first(400)), "");
  auto broken = t;
  broken[7] = std::numeric_limits<double>::quiet_NaN();
  EXPECT_NE(why_not_rated(t, broken), "");
  EXPECT_FALSE(rate(t, broken).has_value());
  // A replay that stays constant correlates at no lag and has no slope to share.
  const auto r = rate(t, flat);
  ASSERT_TRUE(r.has_value());
  EXPECT_EQ(r->phase, 0);
  EXPECT_EQ(r->lag, 0);
}

TEST(Rating, HasARank) {
  EXPECT_EQ(rank(0.941), "excellent");
  EXPECT_EQ(rank(0.94), "good");
  EXPECT_EQ(rank(0.80), "fair");
  EXPECT_EQ(rank(0.58), "poor");
}

}  // namespace
}  // namespace brakeward::measure
