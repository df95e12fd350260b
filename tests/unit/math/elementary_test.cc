// Elementary functions against the C library's long double ones (64-bit fraction, below 1 ulp of their own:
// 0.0005 ulp of double, so the reference wins), against tabulated values and against identities.
#include "math/elementary.h"

#include <cmath>
#include <functional>
#include <limits>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "math/random.h"

namespace brakeward::math {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kHalfPi = 0x1.921fb54442d18p+0;
// The bound elementary.inl.h states.
constexpr double kMaxUlp = 2.0;
constexpr int kRandomPoints = 400000;
constexpr int kGridPoints = 100000;

// The error of `value` in units in the last place of the double nearest to `exact`.
double ulps(double value, long double exact) {
  int exponent = 0;
  std::frexp(exact, &exponent);
  return static_cast<double>(std::fabs((value - exact) / std::ldexp(1.0L, std::max(exponent, -1021) - 53)));
}

using Function = double (*)(double);
using Reference = long double (*)(long double);

struct Worst {
  double ulp = 0.0;
  double x = 0.0;
};

void visit(Function f, Reference reference, double x, Worst* worst) {
  const double error = ulps(f(x), reference(static_cast<long double>(x)));
  if (!(error <= worst->ulp)) *worst = {error, x};
}

// The largest error over an even grid and over random points of [low, high].
Worst worst_between(Function f, Reference reference, double low, double high) {
  Worst worst;
  Random random(seed_from("elementary"));
  for (int i = 0; i <= kGridPoints; ++i) {
    visit(f, reference, low + (high - low) * i / kGridPoints, &worst);
  }
  for (int i = 0; i < kRandomPoints; ++i) {
    visit(f, reference, low + (high - low) * random.uniform(), &worst);
  }
  return worst;
}

// The same over all exponents between those of low and high, both > 0.
Worst worst_over_exponents(Function f, Reference reference, int low, int high) {
  Worst worst;
  Random random(seed_from("exponents"));
  for (int i = 0; i < kRandomPoints; ++i) {
    const int exponent = low + static_cast<int>(random.bits() % static_cast<uint64_t>(high - low + 1));
    visit(f, reference, std::ldexp(1.0 + random.uniform(), exponent), &worst);
  }
  return worst;
}

void expect_within_bound(const char* name, const Worst& worst) {
  EXPECT_LE(worst.ulp, kMaxUlp) << name << " at " << worst.x;
  EXPECT_GT(worst.ulp, 0.0) << name << ": a reference that agrees everywhere checks nothing";
  testing::Test::RecordProperty(name, std::to_string(worst.ulp));
}

TEST(Elementary, ArctangentIsWithinTwoUlp) {
  const Reference exact = [](long double x) { return std::atan(x); };
  expect_within_bound("atan_1", worst_between(arctangent, exact, -1.0, 1.0));
  expect_within_bound("atan_6", worst_between(arctangent, exact, -6.0, 6.0));
  expect_within_bound("atan_all", worst_over_exponents(arctangent, exact, -1022, 1023));
}

TEST(Elementary, SineIsWithinTwoUlp) {
  const Reference exact = [](long double x) { return std::sin(x); };
  expect_within_bound("sin_half_turn", worst_between(sine, exact, -1.6, 1.6));
  expect_within_bound("sin_10", worst_between(sine, exact, -10.0, 10.0));
  expect_within_bound("sin_1e5", worst_between(sine, exact, -1e5, 1e5));
  expect_within_bound("sin_small", worst_over_exponents(sine, exact, -1022, 16));
}

TEST(Elementary, CosineIsWithinTwoUlp) {
  const Reference exact = [](long double x) { return std::cos(x); };
  expect_within_bound("cos_half_turn", worst_between(cosine, exact, -1.6, 1.6));
  expect_within_bound("cos_10", worst_between(cosine, exact, -10.0, 10.0));
  expect_within_bound("cos_1e5", worst_between(cosine, exact, -1e5, 1e5));
}

TEST(Elementary, SineAndCosineHoldNextToTheirZeros) {
  Worst worst;
  for (int n = 1; n <= 60000; ++n) {  // the doubles on either side of n pi/2, where reduction cancels most
    const double near = static_cast<double>(n * 1.57079632679489661923132169163975144L);
    for (const double x : {std::nextafter(near, 0.0), near, std::nextafter(near, 1e6)}) {
      visit(
          sine, [](long double v) { return std::sin(v); }, x, &worst);
      visit(
          cosine, [](long double v) { return std::cos(v); }, x, &worst);
    }
  }
  expect_within_bound("sin_cos_zeros", worst);
}

TEST(Elementary, ExponentialIsWithinTwoUlp) {
  const Reference exact = [](long double x) { return std::exp(x); };
  expect_within_bound("exp_1", worst_between(exponential, exact, -1.0, 1.0));
  expect_within_bound("exp_all", worst_between(exponential, exact, -708.0, 709.7));
  expect_within_bound("exp_subnormal", worst_between(exponential, exact, -745.0, -708.0));
}

TEST(Elementary, LogarithmIsWithinTwoUlp) {
  const Reference exact = [](long double x) { return std::log(x); };
  expect_within_bound("log_near_1", worst_between(logarithm, exact, 0.5, 2.0));
  expect_within_bound("log_100", worst_between(logarithm, exact, 1e-3, 100.0));
  expect_within_bound("log_all", worst_over_exponents(logarithm, exact, -1022, 1023));
  expect_within_bound("log_subnormal", worst_between(logarithm, exact, 5e-324, 2e-308));
}

TEST(Elementary, PowerErrorGrowsWithItsExponent) {
  Random random(seed_from("power"));
  for (int i = 0; i < kRandomPoints; ++i) {
    const double x = 0.01 + 100.0 * random.uniform(), y = 40.0 * (random.uniform() - 0.5);
    // t = y log x carries 1 ulp of log and half of the product, up to 3 t halves of an ulp of 1 together; exp
    // turns them into relative error and adds its own.
    const double bound = kMaxUlp + 3.0 * std::fabs(y * std::log(x));
    ASSERT_LE(ulps(power(x, y), std::pow(static_cast<long double>(x), static_cast<long double>(y))), bound)
        << x << " to the power " << y;
  }
}

// Twenty digits from mpmath 1.3 at 50 digits, an independent library (DERIVED).
TEST(Elementary, AgreesWithTabulatedValues) {
  EXPECT_LE(ulps(sine(1.0), 0.84147098480789650665L), kMaxUlp);
  EXPECT_LE(ulps(cosine(1.0), 0.54030230586813971740L), kMaxUlp);
  EXPECT_LE(ulps(sine(355.0), -3.0144353359488449214e-5L), kMaxUlp);
  EXPECT_LE(ulps(cosine(11.0), 0.0044256979880507857484L), kMaxUlp);
  EXPECT_LE(ulps(arctangent(2.0), 1.1071487177940905030L), kMaxUlp);
  EXPECT_LE(ulps(arctangent(0.5), 0.46364760900080611621L), kMaxUlp);
  EXPECT_LE(ulps(exponential(1.0), 2.7182818284590452354L), kMaxUlp);
  EXPECT_LE(ulps(exponential(-10.0), 4.5399929762484851536e-5L), kMaxUlp);
  EXPECT_LE(ulps(logarithm(10.0), 2.3025850929940456840L), kMaxUlp);
  EXPECT_LE(ulps(logarithm(0.75), -0.28768207245178092744L), kMaxUlp);
}

TEST(Elementary, IsExactWhereAModelLeansOnIt) {
  EXPECT_EQ(sine(0.0), 0.0);
  EXPECT_EQ(cosine(0.0), 1.0);  // a level road carries the whole weight
  EXPECT_EQ(sine(kHalfPi), 1.0);
  EXPECT_EQ(arctangent(0.0), 0.0);
  EXPECT_EQ(arctangent(1.0), kHalfPi / 2);
  EXPECT_EQ(exponential(0.0), 1.0);
  EXPECT_EQ(logarithm(1.0), 0.0);
  EXPECT_EQ(power(1.0, 3.7), 1.0);
  EXPECT_EQ(power(3.7, 0.0), 1.0);
}

TEST(Elementary, IsOddOrEvenToTheBit) {
  Random random(seed_from("symmetry"));
  for (int i = 0; i < kRandomPoints; ++i) {
    const double x = 50.0 * random.uniform();
    ASSERT_EQ(sine(-x), -sine(x)) << x;
    ASSERT_EQ(cosine(-x), cosine(x)) << x;
    ASSERT_EQ(arctangent(-x), -arctangent(x)) << x;
  }
}

TEST(Elementary, KeepsToItsIdentities) {
  constexpr double kUlp = 0x1p-52;
  Random random(seed_from("identities"));
  for (int i = 0; i < kRandomPoints; ++i) {
    const double x = 20.0 * (random.uniform() - 0.5), positive = 1e-3 + 100.0 * random.uniform();
    const double s = sine(x), c = cosine(x);
    // 2 ulp in each of s and c move s^2 + c^2 by 4 (s^2 + c^2) ulp, the sum adds 1.
    ASSERT_NEAR(s * s + c * c, 1.0, 5 * kUlp) << x;
    // 2 ulp in each arctangent, each below pi/2, and the rounding of 1/x and of the sum.
    ASSERT_NEAR(arctangent(positive) + arctangent(1.0 / positive), kHalfPi, 6 * kUlp) << positive;
    ASSERT_NEAR(exponential(x) * exponential(-x), 1.0, 5 * kUlp) << x;
    // exp turns an absolute error of log (2 ulp of up to 7) into a relative one.
    ASSERT_NEAR(exponential(logarithm(positive)) / positive, 1.0, (2 + 2 * 4 + 1) * kUlp) << positive;
  }
}

TEST(Elementary, StaysWithinItsRangeAndRises) {
  double before = -kHalfPi;
  for (int i = -200000; i <= 200000; ++i) {
    const double a = arctangent(i * 1e-3), s = sine(i * 1e-3);
    ASSERT_LE(std::fabs(a), kHalfPi);
    ASSERT_LE(std::fabs(s), 1.0) << i;
    ASSERT_LE(std::fabs(cosine(i * 1e-3)), 1.0) << i;
    ASSERT_GE(a, before) << i;
    before = a;
  }
}

TEST(Elementary, AnswersAtTheEdges) {
  EXPECT_EQ(exponential(709.79), kInfinity);
  EXPECT_LT(exponential(709.78), kInfinity);
  EXPECT_EQ(exponential(-745.14), 0.0);
  EXPECT_EQ(exponential(-745.13), 5e-324);
  EXPECT_EQ(exponential(kInfinity), kInfinity);
  EXPECT_EQ(exponential(-kInfinity), 0.0);
  EXPECT_EQ(logarithm(0.0), -kInfinity);
  EXPECT_EQ(logarithm(-0.0), -kInfinity);
  EXPECT_EQ(logarithm(kInfinity), kInfinity);
  EXPECT_TRUE(std::isnan(logarithm(-1.0)));
  EXPECT_TRUE(std::isnan(logarithm(-kInfinity)));
  EXPECT_EQ(arctangent(kInfinity), kHalfPi);
  EXPECT_EQ(arctangent(-kInfinity), -kHalfPi);
  EXPECT_TRUE(std::signbit(arctangent(-0.0)));
  EXPECT_TRUE(std::isnan(sine(kInfinity)));
  EXPECT_TRUE(std::isnan(cosine(-kInfinity)));
}

TEST(Elementary, PassesNanOn) {
  for (const Function f : {arctangent, sine, cosine, exponential, logarithm})
    EXPECT_TRUE(std::isnan(f(kNan)));
  EXPECT_TRUE(std::isnan(power(kNan, 2.0)));
  EXPECT_TRUE(std::isnan(power(2.0, kNan)));
}

}  // namespace
}  // namespace brakeward::math
