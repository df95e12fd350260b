// The plain data of a piecewise linear curve, free of functions so that any translation unit may hold it.
#pragma once

namespace brakeward::math {

inline constexpr int kMaxCurveSegments = 15;

// value(x) = y0 + sum over segments i of slope[i] * clamp(x - this->x[i], 0, width[i]).
template <class Real>
struct Curve {
  Real y0;
  Real x[kMaxCurveSegments];      // where segment i starts
  Real width[kMaxCurveSegments];  // how long it is, in units of x
  Real slope[kMaxCurveSegments];

  bool operator==(const Curve&) const = default;
};

}  // namespace brakeward::math
