// A scalar that computes like double and counts what it does: the exact number of operations of a kernel,
// for the benchmarks. Not thread safe: the counts of a translation unit are one plain global.
#pragma once

#include "math/scalar.inl.h"

namespace brakeward::math {
inline namespace BRAKEWARD_ISA {

// Sign changes, abs, and moving exponent bits are free and not counted.
struct Operations {
  long long add, mul, fma, div, sqrt, select, compare, minmax;

  BRAKEWARD_INLINE void reset() { *this = Operations{}; }
  BRAKEWARD_INLINE long long total() const {
    return add + mul + fma + div + sqrt + select + compare + minmax;
  }
  // Floating-point operations in the usual sense: an fma is two.
  BRAKEWARD_INLINE long long flops() const { return add + mul + 2 * fma + div + sqrt; }
};

inline Operations operations{};

struct Counting {
  double value;

  Counting() = default;
  BRAKEWARD_INLINE Counting(double x) : value(x) {}  // NOLINT: so that 1.0 - x reads as it should

  BRAKEWARD_INLINE friend Counting operator+(Counting a, Counting b) {
    ++operations.add;
    return a.value + b.value;
  }
  BRAKEWARD_INLINE friend Counting operator-(Counting a, Counting b) {
    ++operations.add;
    return a.value - b.value;
  }
  BRAKEWARD_INLINE friend Counting operator*(Counting a, Counting b) {
    ++operations.mul;
    return a.value * b.value;
  }
  BRAKEWARD_INLINE friend Counting operator/(Counting a, Counting b) {
    ++operations.div;
    return a.value / b.value;
  }
  BRAKEWARD_INLINE friend Counting operator-(Counting a) { return -a.value; }
  BRAKEWARD_INLINE friend Counting operator+(Counting a) { return a; }

  BRAKEWARD_INLINE Counting& operator+=(Counting b) { return *this = *this + b; }
  BRAKEWARD_INLINE Counting& operator-=(Counting b) { return *this = *this - b; }
  BRAKEWARD_INLINE Counting& operator*=(Counting b) { return *this = *this * b; }
  BRAKEWARD_INLINE Counting& operator/=(Counting b) { return *this = *this / b; }

  BRAKEWARD_INLINE friend bool operator<(Counting a, Counting b) {
    ++operations.compare;
    return a.value < b.value;
  }
  BRAKEWARD_INLINE friend bool operator<=(Counting a, Counting b) {
    ++operations.compare;
    return a.value <= b.value;
  }
  BRAKEWARD_INLINE friend bool operator>(Counting a, Counting b) { return b < a; }
  BRAKEWARD_INLINE friend bool operator>=(Counting a, Counting b) { return b <= a; }
  BRAKEWARD_INLINE friend bool operator==(Counting a, Counting b) {
    ++operations.compare;
    return a.value == b.value;
  }
  BRAKEWARD_INLINE friend bool operator!=(Counting a, Counting b) { return !(a == b); }
};

template <>
struct Traits<Counting> {
  using Mask = bool;
  static constexpr int lanes = 1;
};

BRAKEWARD_INLINE Counting select(bool mask, Counting yes, Counting no) {
  ++operations.select;
  return mask ? yes : no;
}
BRAKEWARD_INLINE Counting min(Counting a, Counting b) {
  ++operations.minmax;
  return min(a.value, b.value);
}
BRAKEWARD_INLINE Counting max(Counting a, Counting b) {
  ++operations.minmax;
  return max(a.value, b.value);
}
BRAKEWARD_INLINE Counting clamp(Counting x, Counting lo, Counting hi) {
  return min(hi, max(lo, x));
}
BRAKEWARD_INLINE Counting abs(Counting a) {
  return abs(a.value);
}
BRAKEWARD_INLINE Counting sqrt(Counting a) {
  ++operations.sqrt;
  return sqrt(a.value);
}
BRAKEWARD_INLINE Counting fma(Counting a, Counting b, Counting c) {
  ++operations.fma;
  return fma(a.value, b.value, c.value);
}
BRAKEWARD_INLINE double get(const Counting& x, int) {
  return x.value;
}
BRAKEWARD_INLINE void set(Counting& x, int, double value) {
  x.value = value;
}

BRAKEWARD_INLINE Counting copy_sign(Counting magnitude, Counting sign) {
  return copy_sign(magnitude.value, sign.value);
}
BRAKEWARD_INLINE Counting negate_if_odd(Counting x, Counting n) {
  return negate_if_odd(x.value, n.value);
}
BRAKEWARD_INLINE bool is_odd(Counting n) {
  return is_odd(n.value);
}
BRAKEWARD_INLINE Counting power_of_two(Counting n) {
  return power_of_two(n.value);
}
BRAKEWARD_INLINE Counting exponent(Counting x) {
  return exponent(x.value);
}
BRAKEWARD_INLINE Counting fraction(Counting x) {
  return fraction(x.value);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::math
