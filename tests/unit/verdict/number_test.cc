#include "verdict/number.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <limits>
#include <random>

#include "verdict/tolerance.h"

namespace brakeward::verdict {
namespace {

TEST(FormatNumber, HasTheDecimalsAskedFor) {
  EXPECT_EQ(format_number(41.236, 2), "41.24");
  EXPECT_EQ(format_number(182, 0), "182");
  EXPECT_EQ(format_number(-3.25, 1), "-3.2");  // ties to even, as IEEE 754 rounds
  EXPECT_EQ(format_number(0.5, 20), "0.500000000000");
  EXPECT_EQ(format_number(7, -3), "7");
}

TEST(FormatNumber, NeverPrintsMinusZero) {
  EXPECT_EQ(format_number(-0.0, 1), "0.0");
  EXPECT_EQ(format_number(-0.04, 1), "0.0");
  EXPECT_EQ(format_number(-1e-300, 3), "0.000");
  EXPECT_EQ(format_number(-0.4, 0), "0");
  EXPECT_EQ(format_number(-0.06, 1), "-0.1");
}

TEST(FormatNumber, StaysShortForTheHugeAndSpeaksForTheNonFinite) {
  EXPECT_EQ(format_number(1e300, 2), "1e+300");
  EXPECT_EQ(format_number(std::numeric_limits<double>::infinity(), 2), "infinite");
  EXPECT_EQ(format_number(-std::numeric_limits<double>::infinity(), 2), "minus infinite");
  EXPECT_EQ(format_number(std::numeric_limits<double>::quiet_NaN(), 2), "not a number");
}

TEST(FormatSigned, MarksWhatReadsPositive) {
  EXPECT_EQ(format_signed(0.84, 2), "+0.84");
  EXPECT_EQ(format_signed(-0.84, 2), "-0.84");
  EXPECT_EQ(format_signed(0.001, 2), "0.00");
  EXPECT_EQ(format_signed(0, 2), "0.00");
}

TEST(FormatApart, AddsDigitsToBothUntilTheyDiffer) {
  EXPECT_EQ(format_apart(0.84, 0.4, 2).value, "0.84");
  EXPECT_EQ(format_apart(0.84, 0.4, 2).bound, "0.40");
  EXPECT_EQ(format_apart(0.4004, 0.4, 2).value, "0.4004");
  EXPECT_EQ(format_apart(0.4004, 0.4, 2).bound, "0.4000");
  EXPECT_EQ(format_apart(0.5, 0.5, 2).value, "0.50");
  EXPECT_EQ(format_apart(1e-200, 0, 2).value, "1e-200");
  EXPECT_EQ(format_apart(1.1 - 1.0, 0.1, 2).value, "0.10000000000000009");
}

// Raw bits, so that every magnitude and every neighbour of a bound is met; the sequence is fixed by the
// standard.
class Numbers {
 public:
  double any() {
    double value = std::ldexp(static_cast<double>(bits_() >> 11), static_cast<int>(bits_() % 90) - 90);
    return bits_() % 2 == 0 ? value : -value;
  }
  double near(double bound) {
    double value = bound;
    const uint64_t steps = bits_() % 4;
    const double away = bits_() % 2 == 0 ? 1e300 : -1e300;
    for (uint64_t i = 0; i < steps; ++i) value = std::nextafter(value, away);
    return bits_() % 4 == 0 ? bound * (1 + std::ldexp(static_cast<double>(bits_() % 1000), -20)) : value;
  }
  int decimals() { return static_cast<int>(bits_() % 5); }

 private:
  std::mt19937_64 bits_{20240607};
};

// The property the rule exists for: read back, the printed pair compares as the unrounded one does.
TEST(FormatApart, NeverReadsInside) {
  Numbers numbers;
  for (int i = 0; i < 20000; ++i) {
    const double bound = numbers.any();
    const double value = i % 2 == 0 ? numbers.any() : numbers.near(bound);
    const int decimals = numbers.decimals();
    const NumberPair pair = format_apart(value, bound, decimals);
    const double printed_value = std::strtod(pair.value.c_str(), nullptr);
    const double printed_bound = std::strtod(pair.bound.c_str(), nullptr);
    ASSERT_EQ(value > bound, printed_value > printed_bound) << pair.value << " against " << pair.bound;
    ASSERT_EQ(value < bound, printed_value < printed_bound) << pair.value << " against " << pair.bound;
  }
}

TEST(FormatNumber, KeepsTheOrderOfTwoNumbers) {
  Numbers numbers;
  for (int i = 0; i < 20000; ++i) {
    const double a = numbers.any();
    const double b = numbers.near(a);
    const int decimals = numbers.decimals();
    const double printed_a = std::strtod(format_number(a, decimals).c_str(), nullptr);
    const double printed_b = std::strtod(format_number(b, decimals).c_str(), nullptr);
    ASSERT_TRUE(a == b || (a < b ? printed_a <= printed_b : printed_a >= printed_b)) << a << " " << b;
  }
}

TEST(FormatShare, IsAWholePercentageThatNeverHidesAFailure) {
  EXPECT_EQ(format_share(0.874), "87 %");
  EXPECT_EQ(format_share(1), "100 %");
  EXPECT_EQ(format_share(2.1), "210 %");
  EXPECT_EQ(format_share(1.0004), "100.04 %");
  EXPECT_EQ(format_share(-0.001), "0 %");
  EXPECT_EQ(format_share(-0.5), "-50 %");
  EXPECT_EQ(format_share(kNothingAllowed), "none allowed");
  const std::string barely = format_share(std::nextafter(1.0, 2.0));
  EXPECT_GT(std::strtod(barely.c_str(), nullptr), 100) << barely;
}

TEST(WithUnit, LeavesOutTheUnitOfARatio) {
  EXPECT_EQ(with_unit("0.75", "1"), "0.75");
  EXPECT_EQ(with_unit("0.75", ""), "0.75");
  EXPECT_EQ(with_unit("0.75", "bar"), "0.75 bar");
  EXPECT_EQ(with_unit("61.0", "%"), "61.0 %");
  EXPECT_EQ(with_unit_of_change("1.0", "%"), "1.0 percentage points");
  EXPECT_EQ(with_unit_of_change("1.0", "m"), "1.0 m");
}

}  // namespace
}  // namespace brakeward::verdict
