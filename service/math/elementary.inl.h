// Elementary functions over Real, in one order of operations for all scalars and with every fused step
// written out: the same bits for double and lane, for any compiler and optimisation level. The polynomials
// are minimax approximations of relative error (own Remez exchange in 200-bit arithmetic, coefficients
// rounded to double); the error bounds below are measured in the tests, in units in the last place (ulp).
//
//   function   range where the bound holds            max ulp
//   atan       all                                    2
//   sin, cos   |x| <= 1e5 (beyond it they fade into   2
//              noise of unit size; inf gives NaN)
//   exp        all; above 709.78 inf, below -745.13   2
//              0, gradual underflow in between
//   log        x > 0, subnormals too; 0 gives -inf,   2
//              x < 0 NaN, inf inf
//   pow        x > 0: exp(y log x), so the error grows with |y log x|, below (2 + 3 |y log x|) ulp
//
// A NaN argument gives a NaN. sin(-0) is +0.
#pragma once

#include "math/counting.inl.h"
#include "math/pack.inl.h"
#include "math/scalar.inl.h"

namespace brakeward::math {
inline namespace BRAKEWARD_ISA {

// c[0] + c[1] x + ... by Horner's rule.
template <class Real, int N>
BRAKEWARD_INLINE Real polynomial(Real x, const double (&c)[N]) {
  Real sum = Real(c[N - 1]);
  for (int i = N - 2; i >= 0; --i) sum = fma(sum, x, Real(c[i]));
  return sum;
}

// With a = |x|: atan a = base + atan t, where t = (a - 1)/(a + 1) or -1/a brings t below tan(pi/8).
template <class Real>
BRAKEWARD_INLINE Real atan(Real x) {
  constexpr double kTanEighth = 0x1.a827999fcef32p-2, kTanThreeEighths = 0x1.3504f333f9de6p+1;
  constexpr double kHalfPi = 0x1.921fb54442d18p+0, kHalfPiRest = 0x1.1a62633145c07p-54;
  constexpr double kCoefficients[] = {-0x1.555555555553dp-2, 0x1.99999999957ccp-3,  -0x1.24924922aa4a2p-3,
                                      0x1.c71c70e50ce57p-4,  -0x1.745cf8c34cc2ep-4, 0x1.3b11179254a53p-4,
                                      -0x1.10eba8a7ad7dap-4, 0x1.df0e7e4b1edd1p-5,  -0x1.9ccf768e934d2p-5,
                                      0x1.37ce0b15310ccp-5,  -0x1.255b127eddc6cp-6};
  const Real a = abs(x);
  const auto middle = a > kTanEighth;
  const auto large = a > kTanThreeEighths;
  const Real top = select(large, Real(-1.0), select(middle, a - 1.0, a));
  const Real bottom = select(large, a, select(middle, a + 1.0, Real(1.0)));
  const Real turn = select(large, Real(1.0), select(middle, Real(0.5), Real(0.0)));
  const Real t = top / bottom;
  const Real z = t * t;
  const Real rest = fma(t * z, polynomial(z, kCoefficients), turn * kHalfPiRest);
  return copy_sign(fma(turn, Real(kHalfPi), t + rest), x);
}

// x - n pi/2 (or half of it: n may be any multiple of 1/2): the first step is exact.
template <class Real>
BRAKEWARD_INLINE Real less_quarter_turns(Real x, Real n) {
  constexpr double kHalfPi = 0x1.921fb54442d18p+0, kSecond = 0x1.1a62633145c07p-54,
                   kThird = -0x1.f1976b7ed8fbcp-110;
  return fma(n, Real(-kThird), fma(n, Real(-kSecond), fma(n, Real(-kHalfPi), x)));
}

template <class Real>
BRAKEWARD_INLINE Real sin(Real x) {
  constexpr double kInversePi = 0x1.45f306dc9c883p-2;
  constexpr double kCoefficients[] = {-0x1.5555555555555p-3,  0x1.11111111110c1p-7,   -0x1.a01a01a0148d0p-13,
                                      0x1.71de3a5288467p-19,  -0x1.ae6454cb8d375p-26, 0x1.6123cb355f0b8p-33,
                                      -0x1.ae43207e16ebdp-41, 0x1.8829e89ee884dp-49};
  const Real n = round_to_even(x * kInversePi);
  const Real r = less_quarter_turns(x, n + n);
  const Real z = r * r;
  return negate_if_odd(fma(r * z, polynomial(z, kCoefficients), r), n);
}

// Reduced to an eighth of a turn, so that cos 0 is exactly 1.
template <class Real>
BRAKEWARD_INLINE Real cos(Real x) {
  constexpr double kInverseHalfPi = 0x1.45f306dc9c883p-1;
  constexpr double kSine[] = {-0x1.5555555555548p-3, 0x1.111111110f7d8p-7,   -0x1.a01a019bfead5p-13,
                              0x1.71de35684e527p-19, -0x1.ae5e5ad6e2fe6p-26, 0x1.5d8fdf8ec3402p-33};
  constexpr double kCosine[] = {0x1.555555555554bp-5,   -0x1.6c16c16c14f93p-10, 0x1.a01a019c84620p-16,
                                -0x1.27e4f7eacb27cp-22, 0x1.1ee9d7b5dbef6p-29,  -0x1.8fa499403b93fp-37};
  const Real n = round_to_even(x * kInverseHalfPi);
  const Real r = less_quarter_turns(x, n);
  const Real z = r * r;
  const Real cosine = fma(z * z, polynomial(z, kCosine), fma(z, Real(-0.5), Real(1.0)));
  const Real sine = fma(r * z, polynomial(z, kSine), r);
  // Quarters 0..3 are cos, -sin, -cos, sin.
  const Real value = select(is_odd(n), -sine, cosine);
  return negate_if_odd(value, floor(n * 0.5));
}

// exp x = 2^n exp r, |r| <= ln 2 / 2. 2^n goes in as two factors, so that subnormal results round once.
template <class Real>
BRAKEWARD_INLINE Real exp(Real x) {
  constexpr double kInverseLn2 = 0x1.71547652b82fep+0, kLn2 = 0x1.62e42fefa39efp-1,
                   kLn2Rest = 0x1.abc9e3b39803fp-56;
  constexpr double kCoefficients[] = {0x1.000000000000ap-1,  0x1.55555555554f9p-3,  0x1.55555555508aep-5,
                                      0x1.1111111127f81p-7,  0x1.6c16c184211c9p-10, 0x1.a01a012924dddp-13,
                                      0x1.a0199a2156dd7p-16, 0x1.71df27e3b8600p-19, 0x1.28ad619443d63p-22,
                                      0x1.ad7b8e85c3e3bp-26};
  const Real held = clamp(x, Real(-800.0), Real(800.0));
  const Real n = round_to_even(held * kInverseLn2);
  const Real r = fma(n, Real(-kLn2Rest), fma(n, Real(-kLn2), held));
  const Real value = fma(r * r, polynomial(r, kCoefficients), r) + 1.0;
  const Real half = round_to_even(n * 0.5);
  return value * power_of_two(half) * power_of_two(n - half);
}

// log x = e ln 2 + log(1 + f), sqrt(1/2) <= 1 + f < sqrt(2); with s = f/(2 + f) the latter is
// 2 atanh s = 2 s + s R(s^2) = f - s (f - R).
template <class Real>
BRAKEWARD_INLINE Real log(Real x) {
  constexpr double kSqrt2 = 0x1.6a09e667f3bcdp+0, kLn2 = 0x1.62e42fefa39efp-1,
                   kLn2Rest = 0x1.abc9e3b39803fp-56;
  constexpr double kSmallestNormal = 0x1p-1022, kInfinity = __builtin_inf(), kNan = __builtin_nan("");
  constexpr double kCoefficients[] = {0x1.5555555555592p-1, 0x1.999999997fe54p-2, 0x1.24924941e91f4p-2,
                                      0x1.c71c520f21b54p-3, 0x1.74663de7378c2p-3, 0x1.39a1cfefb935fp-3,
                                      0x1.2f04bad878107p-3};
  const auto subnormal = x < kSmallestNormal;
  const Real normal = select(subnormal, x * 0x1p54, x);
  const Real whole = fraction(normal);
  const auto upper = whole > kSqrt2;
  const Real e =
      exponent(normal) + select(upper, Real(1.0), Real(0.0)) - select(subnormal, Real(54.0), Real(0.0));
  const Real f = select(upper, whole * 0.5, whole) - 1.0;
  const Real s = f / (f + 2.0);
  const Real z = s * s;
  const Real remainder = fma(e, Real(kLn2Rest), -(s * (f - z * polynomial(z, kCoefficients))));
  const Real value = fma(e, Real(kLn2), f + remainder);
  const Real positive = select(x < kInfinity, value, x);  // inf and NaN answer themselves
  return select(x > 0.0, positive, select(x == 0.0, Real(-kInfinity), select(x < 0.0, Real(kNan), x)));
}

// x to the power y for x > 0.
template <class Real>
BRAKEWARD_INLINE Real pow(Real x, Real y) {
  return exp(y * log(x));
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::math
