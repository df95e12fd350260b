// Curves against the textbook interpolation between the two neighbouring points (closed form).
#include "math/curve.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "math/random.h"

namespace brakeward::math {
namespace {

using testing::HasSubstr;

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

struct Points {
  std::vector<double> x, y;
};

Points random_points(int count, Random* random) {
  Points points;
  double x = 20.0 * (random->uniform() - 0.5);
  for (int i = 0; i < count; ++i) {
    points.x.push_back(x);
    points.y.push_back(10.0 * (random->uniform() - 0.5));
    x += 0.01 + random->uniform();
  }
  return points;
}

double interpolate(const Points& points, double x) {
  if (x <= points.x.front()) return points.y.front();
  if (x >= points.x.back()) return points.y.back();
  const size_t i = std::upper_bound(points.x.begin(), points.x.end(), x) - points.x.begin();
  const double share = (x - points.x[i - 1]) / (points.x[i] - points.x[i - 1]);
  return points.y[i - 1] + share * (points.y[i] - points.y[i - 1]);
}

TEST(Curve, FollowsTheStraightLinesBetweenItsPoints) {
  Random random(seed_from("curve"));
  for (int count = 1; count <= 16; ++count) {
    for (int repeat = 0; repeat < 20; ++repeat) {
      const Points points = random_points(count, &random);
      int segments = -1;
      const auto curve = make_curve(points.x, points.y, &segments);
      ASSERT_TRUE(curve.ok()) << curve.status();
      ASSERT_EQ(segments, count - 1);
      // Each segment rounds its slope, its offset and its sum, all below 10 in value; the offset's rounding
      // is that of x (below 16) times a slope of up to 10 / 0.01.
      const double tolerance = 0x1p-53 * (1 + segments) * (3 * 10.0 + 16.0 * 1000.0);
      for (int i = 0; i < 200; ++i) {
        const double x =
            points.x.front() - 1.0 + (points.x.back() - points.x.front() + 2.0) * random.uniform();
        ASSERT_NEAR(value(*curve, segments, x), interpolate(points, x), tolerance) << x;
      }
      for (size_t i = 0; i < points.x.size(); ++i) {
        ASSERT_NEAR(value(*curve, segments, points.x[i]), points.y[i], tolerance);
      }
    }
  }
}

TEST(Curve, IsHeldOutsideItsPoints) {
  int segments = 0;
  const auto curve =
      make_curve(std::vector<double>{1.0, 2.0, 4.0}, std::vector<double>{3.0, 5.0, 1.0}, &segments);
  ASSERT_TRUE(curve.ok());
  EXPECT_EQ(segments, 2);
  EXPECT_EQ(value(*curve, segments, -kInfinity), 3.0);
  EXPECT_EQ(value(*curve, segments, 0.0), 3.0);
  EXPECT_EQ(value(*curve, segments, 1.5), 4.0);
  EXPECT_EQ(value(*curve, segments, 3.0), 3.0);
  EXPECT_EQ(value(*curve, segments, 1e9), 1.0);
  EXPECT_EQ(value(*curve, segments, kInfinity), 1.0);
  EXPECT_TRUE(std::isnan(value(*curve, segments, kNan)));
}

TEST(Curve, UnusedSegmentsChangeNothing) {
  Random random(seed_from("unused"));
  const Points points = random_points(5, &random);
  int segments = 0;
  const auto curve = make_curve(points.x, points.y, &segments);
  ASSERT_TRUE(curve.ok());
  for (int i = 0; i < 1000; ++i) {
    const double x = 30.0 * (random.uniform() - 0.5);
    ASSERT_EQ(value(*curve, segments, x), value(*curve, kMaxCurveSegments, x)) << x;
  }
}

TEST(Curve, RefusesWithAllFaultsAtOnce) {
  int segments = 0;
  const auto curve = make_curve(std::vector<double>{1.0, kNan, 4.0, 4.0},
                                std::vector<double>{3.0, kInfinity, 1.0}, &segments);
  ASSERT_EQ(curve.status().code(), absl::StatusCode::kInvalidArgument);
  const std::string text(curve.status().message());
  EXPECT_THAT(text, HasSubstr("4 x values but 3 y values"));
  EXPECT_THAT(text, HasSubstr("x[1] is nan"));
  EXPECT_THAT(text, HasSubstr("x[3] is 4, not above x[2], 4"));
  EXPECT_THAT(text, HasSubstr("y[1] is inf"));
}

TEST(Curve, RefusesTooFewAndTooManyPoints) {
  int segments = 0;
  const std::vector<double> none;
  EXPECT_THAT(std::string(make_curve(none, none, &segments).status().message()),
              HasSubstr("0 points: give 1 to 16"));
  std::vector<double> many(17);
  for (size_t i = 0; i < many.size(); ++i) many[i] = static_cast<double>(i);
  EXPECT_THAT(std::string(make_curve(many, many, &segments).status().message()),
              HasSubstr("17 points: give 1 to 16"));
}

TEST(Curve, RefusesASlopeBeyondDouble) {
  int segments = 0;
  const auto curve = make_curve(std::vector<double>{0.0, 1e-300}, std::vector<double>{0.0, 1e300}, &segments);
  EXPECT_THAT(std::string(curve.status().message()), HasSubstr("points 0 and 1"));
}

}  // namespace
}  // namespace brakeward::math
