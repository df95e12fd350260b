// Random numbers that a lane can draw. Kernel: included by engine translation units only.
#pragma once

#include "math/scalar.inl.h"

namespace brakeward::math {
inline namespace BRAKEWARD_ISA {

inline constexpr double kLehmerModulus = 2147483647.0;  // 2^31 - 1

// The number after x (an integer from 1 to 2^31 - 2) of Lehmer's sequence x' = 16807 x mod (2^31 - 1), the
// minimal standard generator: Park and Miller, CACM 31 (1988). Exact: every product is below 2^46, and no
// quotient comes nearer to an integer than 1 / modulus, far more than its rounding error.
template <class Real>
BRAKEWARD_INLINE Real lehmer(Real x) {
  const Real product = 16807.0 * x;
  return fma(-floor(product * (1.0 / kLehmerModulus)), Real(kLehmerModulus), product);
}

// Evenly spread over -1 to 1.
template <class Real>
BRAKEWARD_INLINE Real even(Real x) {
  return fma(x, Real(2.0 / kLehmerModulus), Real(-1.0));
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::math
