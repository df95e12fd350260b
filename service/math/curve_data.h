// The plain data of a piecewise linear curve, free of functions so that any translation unit may hold it.
#ifndef BRAKEWARD_MATH_CURVE_DATA_H_
#define BRAKEWARD_MATH_CURVE_DATA_H_

namespace brakeward::math {

inline constexpr int kMaxCurveSegments = 15;

// value(x) = y0 + sum over segments i of slope[i] * clamp(x - this->x[i], 0, width[i]).
template <class Real>
struct Curve {
  Real y0;
  Real x[kMaxCurveSegments];      // where segment i starts
  Real width[kMaxCurveSegments];  // how long it is, in units of x
  Real slope[kMaxCurveSegments];
};

}  // namespace brakeward::math

#endif  // BRAKEWARD_MATH_CURVE_DATA_H_
