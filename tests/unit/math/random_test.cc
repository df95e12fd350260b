#include "math/random.h"

#include <cmath>
#include <set>
#include <vector>

#include "gtest/gtest.h"

namespace brakeward::math {
namespace {

// C++20 [rand.predef]: the 10000th value of a default-constructed mt19937_64 (seed 5489).
TEST(Random, IsTheEngineTheStandardFixes) {
  Random random(5489);
  for (int i = 1; i < 10000; ++i) random.bits();
  EXPECT_EQ(random.bits(), 9981545732273789042u);
}

TEST(Random, UniformIsTheTopBits) {
  Random bits(7), uniform(7);
  for (int i = 0; i < 1000; ++i) {
    const double u = uniform.uniform();
    ASSERT_EQ(std::ldexp(u, 53), static_cast<double>(bits.bits() >> 11));
    ASSERT_GE(u, 0.0);
    ASSERT_LT(u, 1.0);
  }
}

// Box and Muller, Ann. Math. Stat. 29 (1958) 610: written out with the C library's functions.
TEST(Random, NormalIsBoxAndMuller) {
  Random uniform(11), normal(11);
  for (int i = 0; i < 1000; ++i) {
    const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform.uniform()));
    const double angle = 2.0 * M_PI * uniform.uniform();
    // 2 ulp of each function and the rounding of the products; the angle's own rounding is the same in both.
    const double tolerance = 8 * 0x1p-53 * radius;
    ASSERT_NEAR(normal.normal(), radius * std::cos(angle), tolerance);
    ASSERT_NEAR(normal.normal(), radius * std::sin(angle), tolerance);
  }
}

// The bounds are four standard errors of each statistic for n independent normal deviates (closed forms).
TEST(Random, NormalHasTheMomentsOfTheNormalDistribution) {
  constexpr int kCount = 1000000;
  Random random(seed_from("moments"));
  double sum[5] = {};
  int beyond = 0;
  for (int i = 0; i < kCount; ++i) {
    const double x = random.normal();
    for (int k = 1; k <= 4; ++k) sum[k] += std::pow(x, k);
    beyond += std::fabs(x) > 1.959963984540054;  // 95 % of the normal distribution lies within
  }
  const double n = kCount;
  EXPECT_NEAR(sum[1] / n, 0.0, 4 / std::sqrt(n));
  EXPECT_NEAR(sum[2] / n, 1.0, 4 * std::sqrt(2 / n));
  EXPECT_NEAR(sum[3] / n, 0.0, 4 * std::sqrt(15 / n));
  EXPECT_NEAR(sum[4] / n, 3.0, 4 * std::sqrt(96 / n));
  EXPECT_NEAR(beyond / n, 0.05, 4 * std::sqrt(0.05 * 0.95 / n));
}

TEST(Random, UniformHasTheMomentsOfTheUniformDistribution) {
  constexpr int kCount = 1000000;
  Random random(seed_from("uniform moments"));
  double sum = 0.0, squares = 0.0;
  for (int i = 0; i < kCount; ++i) {
    const double u = random.uniform();
    sum += u;
    squares += u * u;
  }
  EXPECT_NEAR(sum / kCount, 0.5, 4 * std::sqrt(1.0 / 12 / kCount));
  EXPECT_NEAR(squares / kCount, 1.0 / 3, 4 * std::sqrt(4.0 / 45 / kCount));
}

TEST(Random, ACopyContinuesTheSameStream) {
  Random random(3);
  random.normal();
  Random copy = random;
  for (int i = 0; i < 10; ++i) EXPECT_EQ(random.normal(), copy.normal());
}

// Published test vectors of FNV-1a, 64 bits (MEMORY).
TEST(SeedFrom, IsFnv1a) {
  EXPECT_EQ(seed_from(""), 0xcbf29ce484222325u);
  EXPECT_EQ(seed_from("a"), 0xaf63dc4c8601ec8cu);
  EXPECT_EQ(seed_from("foobar"), 0x85944171f73967e8u);
}

}  // namespace
}  // namespace brakeward::math
