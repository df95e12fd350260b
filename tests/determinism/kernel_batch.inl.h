// One kernel that uses everything the math room gives kernels, over any Real: the same inputs must give the
// same bits as scalar and as lanes, for every instruction set, compiler and optimisation level.
#pragma once

#include "determinism/kernel_batch.h"
#include "math/kernel.inl.h"

namespace brakeward::determinism {
inline namespace BRAKEWARD_ISA {

namespace math = ::brakeward::math;

// A curve of its own in each lane, made from the inputs: widths positive, slopes of either sign.
template <class Real>
BRAKEWARD_INLINE math::Curve<Real> curve_from(Real a, Real b) {
  math::Curve<Real> curve;
  curve.y0 = b;
  Real start = math::clamp(a, Real(-3.0), Real(3.0)) - 4.0;
  for (int i = 0; i < math::kMaxCurveSegments; ++i) {
    curve.x[i] = start;
    curve.width[i] = Real(0.25 + 0.125 * i);
    curve.slope[i] = math::sin(b + 1.5 * i);
    start += curve.width[i];
  }
  return curve;
}

// Force of a tyre-like shape and a few explicit steps of a stiff-ish pair of equations with switching: the
// kind of arithmetic a replay does, so that a difference in one bit grows.
template <class Real>
BRAKEWARD_INLINE Real small_replay(Real a, Real b) {
  Real speed = 20.0 + math::clamp(a, Real(-10.0), Real(10.0)), spin = speed, release = Real(0.0);
  const Real grip = 1.0 + 0.3 * math::sin(b);
  for (int tick = 0; tick < 200; ++tick) {
    const Real slip = (speed - spin) / math::max(Real(0.1), speed);
    const Real x = 10.0 * slip;
    const Real force = grip * math::sin(1.9 * math::atan(x - 0.97 * (x - math::atan(x))));
    release = math::select(slip > 0.2, Real(1.0), math::select(slip < 0.05, Real(0.0), release));
    const Real torque = math::select(release > 0.5, Real(0.4), Real(1.6)) * math::exp(-0.01 * speed);
    spin = math::max(Real(0.0), spin + 0.2 * (force - torque));
    speed = math::max(Real(0.0), speed - 0.05 * force);
  }
  return speed + 1e-3 * spin;
}

template <class Real>
BRAKEWARD_INLINE void evaluate_all(Real a, Real b, Real* out) {
  const math::Mask<Real> inside = ((a > -1.0) & !(b >= 0.5)) | (a == b);
  int i = 0;
  out[i++] = math::atan(a);
  out[i++] = math::sin(a);
  out[i++] = math::cos(a);
  out[i++] = math::exp(a);
  out[i++] = math::log(math::abs(a));
  out[i++] = math::log(a);
  out[i++] = math::pow(math::abs(a), b);
  out[i++] = math::evaluate(curve_from(a, b), 7, b);
  out[i++] = math::evaluate(curve_from(a, b), math::kMaxCurveSegments, a);
  out[i++] = math::sqrt(math::abs(a)) / (b + 1e-3) - a * b;
  out[i++] = math::fma(a, b, -(a * b));
  out[i++] = math::min(a, b) + math::max(b, Real(0.5)) * math::sign(a);
  out[i++] = math::min(Real(0.0), a) - math::max(a, Real(-0.0));
  out[i++] = math::select(inside, a / b, b - a);
  out[i++] = math::floor(math::clamp(a, Real(-1e9), Real(1e9))) +
             math::round_to_even(math::clamp(b, Real(-9), Real(9)));
  out[i++] = small_replay(a, b);
  static_assert(kOutputs == 16);
}

// inputs: `count` pairs (a, b), count a multiple of 8. outputs: kOutputs numbers for each pair.
template <class Real>
BRAKEWARD_INLINE void run_batch(const double* inputs, int count, double* outputs) {
  constexpr int kLanes = math::Traits<Real>::lanes;
  for (int first = 0; first < count; first += kLanes) {
    const double* pairs[kLanes];
    for (int lane = 0; lane < kLanes; ++lane) pairs[lane] = inputs + ptrdiff_t{2} * (first + lane);
    Real out[kOutputs];
    evaluate_all(math::load<Real>(pairs, 0), math::load<Real>(pairs, 1), out);
    for (int lane = 0; lane < kLanes; ++lane) {
      for (int i = 0; i < kOutputs; ++i) outputs[kOutputs * (first + lane) + i] = math::get(out[i], lane);
    }
  }
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::determinism
