// What the three scalars promise kernels: the same answers as plain double arithmetic, lane by lane, and
// for Counting the right counts. Here Pack is built for the base instruction set; the determinism tests
// build it for the others.
#define BRAKEWARD_ISA isa_base
#include <cmath>
#include <limits>
#include <type_traits>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "math/kernel.inl.h"

namespace brakeward::math {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

template <class Real>
class Scalar : public testing::Test {
 protected:
  // Sends the value through the last lane, the others holding something else.
  static Real in_last_lane(double value) {
    Real x = Real(-7.25);
    set(x, Traits<Real>::lanes - 1, value);
    return x;
  }
  static double last_lane(const Real& x) { return get(x, Traits<Real>::lanes - 1); }
};

using Scalars = testing::Types<double, Pack, Counting>;
TYPED_TEST_SUITE(Scalar, Scalars);

TYPED_TEST(Scalar, IsTrivialSoThatStateCanBeCopied) {
  EXPECT_TRUE(std::is_trivially_copyable_v<TypeParam>);
  EXPECT_TRUE(std::is_trivially_default_constructible_v<TypeParam>);
  EXPECT_TRUE(std::is_trivially_default_constructible_v<Curve<TypeParam>>);
}

TYPED_TEST(Scalar, SetAndGetTouchOneLane) {
  TypeParam x = broadcast<TypeParam>(1.5);
  for (int lane = 0; lane < Traits<TypeParam>::lanes; ++lane) set(x, lane, 10.0 + lane);
  for (int lane = 0; lane < Traits<TypeParam>::lanes; ++lane) EXPECT_EQ(get(x, lane), 10.0 + lane);
}

TYPED_TEST(Scalar, LoadTakesTheElementOfEachLanesArray) {
  std::vector<std::vector<double>> arrays;
  std::vector<const double*> pointers;
  for (int lane = 0; lane < Traits<TypeParam>::lanes; ++lane) arrays.push_back({1.0, 2.0, 100.0 + lane});
  for (const auto& array : arrays) pointers.push_back(array.data());
  const TypeParam x = load<TypeParam>(pointers.data(), 2);
  for (int lane = 0; lane < Traits<TypeParam>::lanes; ++lane) EXPECT_EQ(get(x, lane), 100.0 + lane);
}

TYPED_TEST(Scalar, MinAndMaxTakeTheSecondWhereUnordered) {
  const auto lesser = [](double a, double b) {
    return TestFixture::last_lane(min(TestFixture::in_last_lane(a), TestFixture::in_last_lane(b)));
  };
  const auto greater = [](double a, double b) {
    return TestFixture::last_lane(max(TestFixture::in_last_lane(a), TestFixture::in_last_lane(b)));
  };
  EXPECT_EQ(lesser(1.0, 2.0), 1.0);
  EXPECT_EQ(greater(1.0, 2.0), 2.0);
  EXPECT_EQ(lesser(kNan, 2.0), 2.0);
  EXPECT_EQ(greater(kNan, 2.0), 2.0);
  EXPECT_TRUE(std::isnan(lesser(2.0, kNan)));
  EXPECT_TRUE(std::isnan(greater(2.0, kNan)));
  EXPECT_FALSE(std::signbit(lesser(-0.0, 0.0)));
  EXPECT_TRUE(std::signbit(lesser(0.0, -0.0)));
  EXPECT_TRUE(std::signbit(greater(0.0, -0.0)));
}

TYPED_TEST(Scalar, ClampHoldsAndPassesNan) {
  const auto held = [](double x) {
    return TestFixture::last_lane(clamp(TestFixture::in_last_lane(x), TypeParam(-1.0), TypeParam(2.0)));
  };
  EXPECT_EQ(held(-kInfinity), -1.0);
  EXPECT_EQ(held(0.5), 0.5);
  EXPECT_EQ(held(3.0), 2.0);
  EXPECT_TRUE(std::isnan(held(kNan)));
}

TYPED_TEST(Scalar, RoundsToEvenAndDown) {
  for (const double x : {-2.5, -1.5, -1.0, -0.5, -0.25, 0.0, 0.25, 0.5, 1.5, 2.5, 3.0, 1e15 + 0.5,
                         -1e15 - 0.5, 0x1.fffffffffffffp-2, 4503599627370495.0 / 4}) {
    const TypeParam lane = TestFixture::in_last_lane(x);
    EXPECT_EQ(TestFixture::last_lane(round_to_even(lane)), std::nearbyint(x)) << x;
    EXPECT_EQ(TestFixture::last_lane(floor(lane)), std::floor(x)) << x;
  }
}

TYPED_TEST(Scalar, SignKnowsZeroAndNan) {
  EXPECT_EQ(TestFixture::last_lane(sign(TestFixture::in_last_lane(-3.0))), -1.0);
  EXPECT_EQ(TestFixture::last_lane(sign(TestFixture::in_last_lane(0.0))), 0.0);
  EXPECT_EQ(TestFixture::last_lane(sign(TestFixture::in_last_lane(1e-300))), 1.0);
  EXPECT_TRUE(std::isnan(TestFixture::last_lane(sign(TestFixture::in_last_lane(kNan)))));
}

TYPED_TEST(Scalar, MasksCombineAndSelect) {
  const TypeParam x = TestFixture::in_last_lane(3.0);
  const Mask<TypeParam> above = x > 2.0, below = x < 4.0, never = x != x;
  EXPECT_TRUE(any(above));
  EXPECT_EQ(all(above), Traits<TypeParam>::lanes == 1);  // the other lanes hold -7.25
  EXPECT_TRUE(all(below));
  EXPECT_FALSE(any(never));
  EXPECT_TRUE(all(!never));
  EXPECT_TRUE(all(above | below));
  EXPECT_FALSE(any(above & never));
  EXPECT_TRUE(all(Mask<TypeParam>(true)));
  EXPECT_FALSE(any(Mask<TypeParam>(false)));
  const TypeParam chosen =
      select(above & (x >= 3.0) & (x <= 3.0) & (x == 3.0), TypeParam(1.0), TypeParam(0.0));
  EXPECT_EQ(TestFixture::last_lane(chosen), 1.0);
  EXPECT_EQ(get(chosen, 0), Traits<TypeParam>::lanes == 1 ? 1.0 : 0.0);
}

TYPED_TEST(Scalar, ComparingWithNanIsFalse) {
  const TypeParam nan = broadcast<TypeParam>(kNan), one = broadcast<TypeParam>(1.0);
  EXPECT_FALSE(any(nan < one));
  EXPECT_FALSE(any(nan <= one));
  EXPECT_FALSE(any(nan > one));
  EXPECT_FALSE(any(nan >= one));
  EXPECT_FALSE(any(nan == nan));
  EXPECT_TRUE(all(nan != nan));
}

TYPED_TEST(Scalar, ComputesAsDoubleDoes) {
  const double a = 1.0 / 3.0, b = 0.7, c = -0.2333;
  const TypeParam x = TestFixture::in_last_lane(a), y = TestFixture::in_last_lane(b);
  EXPECT_EQ(TestFixture::last_lane(x + y), a + b);
  EXPECT_EQ(TestFixture::last_lane(1.0 - x * y / 3.0), 1.0 - a * b / 3.0);
  EXPECT_EQ(TestFixture::last_lane(-x), -a);
  EXPECT_EQ(TestFixture::last_lane(abs(-x)), a);
  EXPECT_EQ(TestFixture::last_lane(sqrt(x)), std::sqrt(a));
  EXPECT_EQ(TestFixture::last_lane(fma(x, y, TypeParam(c))), std::fma(a, b, c));
  EXPECT_NE(std::fma(a, b, c), a * b + c);
  TypeParam z = x;
  z += y;
  z *= 2.0;
  z -= 0.5;
  z /= y;
  EXPECT_EQ(TestFixture::last_lane(z), ((a + b) * 2.0 - 0.5) / b);
}

TYPED_TEST(Scalar, TakesNumbersApartAndTogether) {
  for (const double x : {0.75, 1.0, 1.9999, 2.0, 1e300, 0x1p-1022}) {
    const TypeParam lane = TestFixture::in_last_lane(x);
    EXPECT_EQ(TestFixture::last_lane(exponent(lane)), std::ilogb(x)) << x;
    EXPECT_EQ(TestFixture::last_lane(fraction(lane)), std::scalbn(x, -std::ilogb(x))) << x;
  }
  for (const int n : {-1022, -1, 0, 1, 52, 1023}) {
    EXPECT_EQ(TestFixture::last_lane(power_of_two(TestFixture::in_last_lane(n))), std::ldexp(1.0, n)) << n;
  }
  for (const int n : {-3, -2, -1, 0, 1, 2, 3}) {
    const TypeParam lane = TestFixture::in_last_lane(n),
                    odd = select(is_odd(lane), TypeParam(1.0), TypeParam(0.0));
    EXPECT_EQ(TestFixture::last_lane(odd), n % 2 != 0 ? 1.0 : 0.0) << n;
    EXPECT_EQ(TestFixture::last_lane(negate_if_odd(TypeParam(2.5), lane)), n % 2 != 0 ? -2.5 : 2.5) << n;
    EXPECT_EQ(TestFixture::last_lane(copy_sign(TypeParam(2.5), lane)), n < 0 ? -2.5 : 2.5) << n;
  }
}

TEST(CountingScalar, CountsEachKindOfOperation) {
  operations.reset();
  const Counting a = 3.0, b = 2.0;
  Counting x = a + b - 1.0;                 // 2 add
  x = x * b / a;                            // 1 mul, 1 div
  x = fma(x, a, b) + sqrt(x);               // 1 fma, 1 sqrt, 1 add
  x = select(x > a, min(x, b), max(a, b));  // 1 select, 1 compare, 2 minmax
  x = clamp(-abs(x), Counting(-1.0), 1.0);  // 2 minmax
  EXPECT_EQ(x.value, -1.0);
  EXPECT_EQ(operations.add, 3);
  EXPECT_EQ(operations.mul, 1);
  EXPECT_EQ(operations.div, 1);
  EXPECT_EQ(operations.fma, 1);
  EXPECT_EQ(operations.sqrt, 1);
  EXPECT_EQ(operations.select, 1);
  EXPECT_EQ(operations.compare, 1);
  EXPECT_EQ(operations.minmax, 4);
  EXPECT_EQ(operations.total(), 13);
  EXPECT_EQ(operations.flops(), 8);
  operations.reset();
  EXPECT_EQ(operations.total(), 0);
}

// Counted by hand in elementary.inl.h; a change of the operations is a change of the numerics.
TEST(CountingScalar, ElementaryFunctionsHaveAFixedPrice) {
  const auto price = [](auto f) {
    operations.reset();
    f(Counting(0.3));
    const long long small = operations.total();
    operations.reset();
    f(Counting(30.0));
    EXPECT_EQ(operations.total(), small);  // the same work whatever the argument
    return small;
  };
  EXPECT_EQ(price([](Counting x) { return atan(x); }), 27);
  EXPECT_EQ(price([](Counting x) { return sin(x); }), 17);
  EXPECT_EQ(price([](Counting x) { return cos(x); }), 29);
  EXPECT_EQ(price([](Counting x) { return exp(x); }), 25);
  EXPECT_EQ(price([](Counting x) { return log(x); }), 34);
}

}  // namespace
}  // namespace brakeward::math
