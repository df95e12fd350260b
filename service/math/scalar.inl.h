// The scalars a kernel may be written over, and what each of them can do. A kernel is a template over `Real`
// (double, Pack or Counting) and uses nothing but the operators and the functions declared here, so that a
// lane of a Pack gives the bits of the same computation in double.
//
// Included only by engine translation units and by this room's own .cc files. Each such unit first defines
// BRAKEWARD_ISA (isa_base, isa_double, isa_v3, isa_v4, isa_counting); everything sits in an inline namespace
// of that name and is inlined whole, so that code for one instruction set never becomes the program's only
// copy. For the same reason nothing here instantiates a `std::` template.
//
// NaN: `min(a, b)` is `a < b ? a : b` and `max(a, b)` is `a > b ? a : b`; when either is NaN, or both are
// zeros, the result is b. So `clamp(x, lo, hi)` passes a NaN x through, and `max(0.0, x)` does, but
// `max(x, 0.0)` turns it into 0. Which NaN (sign, payload) an operation gives is not defined.
#pragma once

#include <stddef.h>
#include <stdint.h>

#ifndef BRAKEWARD_ISA
#error "define BRAKEWARD_ISA (isa_base, isa_double, isa_v3, isa_v4 or isa_counting) before a kernel header"
#endif

// Kernels combine masks with & and |, which clang would have as && and || where the mask is a bool.
#if defined(__clang__)
#pragma clang diagnostic ignored "-Wbitwise-instead-of-logical"
#endif

#define BRAKEWARD_INLINE inline __attribute__((always_inline))

namespace brakeward::math {
inline namespace BRAKEWARD_ISA {

// What goes with a scalar: the type its comparisons give, and how many replays it carries.
template <class Real>
struct Traits;

template <>
struct Traits<double> {
  using Mask = bool;
  static constexpr int lanes = 1;
};

// Masks combine with & | ! (never && or ||, which a mask of lanes cannot have).
template <class Real>
using Mask = typename Traits<Real>::Mask;

BRAKEWARD_INLINE double select(bool mask, double yes, double no) {
  return mask ? yes : no;
}
BRAKEWARD_INLINE double min(double a, double b) {
  return a < b ? a : b;
}
BRAKEWARD_INLINE double max(double a, double b) {
  return a > b ? a : b;
}
BRAKEWARD_INLINE double clamp(double x, double lo, double hi) {
  return min(hi, max(lo, x));
}
BRAKEWARD_INLINE double abs(double x) {
  return __builtin_fabs(x);
}
BRAKEWARD_INLINE double sqrt(double x) {
  return __builtin_sqrt(x);
}
BRAKEWARD_INLINE double fma(double a, double b, double c) {
  return __builtin_fma(a, b, c);
}
BRAKEWARD_INLINE bool any(bool mask) {
  return mask;
}
BRAKEWARD_INLINE bool all(bool mask) {
  return mask;
}

BRAKEWARD_INLINE double get(const double& x, int) {
  return x;
}
BRAKEWARD_INLINE void set(double& x, int, double value) {
  x = value;
}

// Adding it to |x| < 2^51 leaves no room for a fraction: the sum is rounded to an integer, ties to even.
inline constexpr double kRoundingShift = 0x1.8p52;

BRAKEWARD_INLINE uint64_t bits_of(double x) {
  return __builtin_bit_cast(uint64_t, x);
}
BRAKEWARD_INLINE double from_bits(uint64_t bits) {
  return __builtin_bit_cast(double, bits);
}
inline constexpr uint64_t kSignBit = uint64_t{1} << 63;
inline constexpr uint64_t kFractionBits = (uint64_t{1} << 52) - 1;

// |magnitude| with the sign of `sign`.
BRAKEWARD_INLINE double copy_sign(double magnitude, double sign) {
  return from_bits((bits_of(magnitude) & ~kSignBit) | (bits_of(sign) & kSignBit));
}

// x, or -x where the integer n (|n| < 2^51) is odd.
BRAKEWARD_INLINE double negate_if_odd(double x, double n) {
  return from_bits(bits_of(x) ^ (bits_of(n + kRoundingShift) << 63));
}

BRAKEWARD_INLINE bool is_odd(double n) {
  return (bits_of(n + kRoundingShift) & 1) != 0;
}

// 2^n for an integer n in [-1022, 1023].
BRAKEWARD_INLINE double power_of_two(double n) {
  return from_bits(bits_of(n + (kRoundingShift + 1023.0)) << 52);
}

// Exponent and fraction of a normal x > 0: x = fraction(x) * 2^exponent(x), fraction in [1, 2).
BRAKEWARD_INLINE double exponent(double x) {
  constexpr double kShift = 0x1p52;
  return from_bits((bits_of(x) >> 52) | bits_of(kShift)) - (kShift + 1023.0);
}
BRAKEWARD_INLINE double fraction(double x) {
  return from_bits((bits_of(x) & kFractionBits) | bits_of(1.0));
}

// The same value in every lane.
template <class Real>
BRAKEWARD_INLINE Real broadcast(double value) {
  return Real(value);
}

// Element `index` of each lane's own array; `per_lane` holds Traits<Real>::lanes pointers.
template <class Real>
BRAKEWARD_INLINE Real load(const double* const* per_lane, size_t index) {
  return Real(per_lane[0][index]);
}

// The nearest integer, ties to even; |x| < 2^51. The result for -0.5 <= x < 0 is +0.
template <class Real>
BRAKEWARD_INLINE Real round_to_even(Real x) {
  return (x + kRoundingShift) - kRoundingShift;
}

// The largest integer not above x; |x| < 2^51.
template <class Real>
BRAKEWARD_INLINE Real floor(Real x) {
  const Real nearest = round_to_even(x);
  return nearest - select(nearest > x, Real(1.0), Real(0.0));
}

// -1, 0 or 1; a NaN stays one.
template <class Real>
BRAKEWARD_INLINE Real sign(Real x) {
  return select(x > 0.0, Real(1.0), select(x < 0.0, Real(-1.0), x));
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::math
