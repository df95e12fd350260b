// Evaluates a piecewise linear curve over Real; curve.h makes one from points.
#pragma once

#include "math/counting.inl.h"
#include "math/curve_data.h"
#include "math/pack.inl.h"
#include "math/scalar.inl.h"

namespace brakeward::math {
inline namespace BRAKEWARD_ISA {

// The same work whatever x: no search, no gather. Lanes may hold different curves; `segments` is the
// largest number among them.
template <class Real>
BRAKEWARD_INLINE Real evaluate(const Curve<Real>& curve, int segments, Real x) {
  Real sum = curve.y0;
  for (int i = 0; i < segments; ++i) {
    sum = fma(curve.slope[i], clamp(x - curve.x[i], Real(0.0), curve.width[i]), sum);
  }
  return sum;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::math
