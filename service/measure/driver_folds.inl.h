// The folds of a driver who follows a speed, and of feel. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "measure/driver_folds.h"
#include "signal/ports.h"

namespace brakeward::measure {
inline namespace BRAKEWARD_ISA {

using namespace math;

inline constexpr double kFollowedAbove = 1.0;  // m/s, of the followed speed

// One tick: effort in it, 1 while the driver means to brake, the speed he means to have at its end and the
// car's.
template <class Real>
inline void fold_driver(Real effort, Real braking, Real followed_speed, Real speed, DriverFolds<Real>& f) {
  const Real zero = Real(0.0), one = Real(1.0);
  const auto brakes = braking > Real(0.5);
  f.peak_effort = max(f.peak_effort, effort);
  f.effort_sum = f.effort_sum + select(brakes, effort, zero);
  f.effort_ticks = f.effort_ticks + select(brakes, one, zero);
  const auto compared = brakes & (followed_speed > Real(kFollowedAbove));
  const Real error = select(compared, speed - followed_speed, zero);
  f.error_square = fma(error, error, f.error_square);
  f.peak_error = max(f.peak_error, abs(error));
  f.error_ticks = f.error_ticks + select(compared, one, zero);
}

// What brakes and motors make of deceleration: drag and road, which change with the speed, are left out.
template <class Real>
inline Real braking_deceleration(const FeelParams<Real>& k, const signal::PlantSignals<Real>& p) {
  Real sum = Real(0.0);
  for (int a = 0; a < signal::kAxles; ++a)
    sum = fma(k.per_torque[a], p.brake_torque[2 * a] + p.brake_torque[2 * a + 1] - p.motor_torque[a], sum);
  return sum;
}

// A prefill at the onset, which passes levels for a moment, is not the feel of a slow hand: the last passage
// counts.
template <class Real>
inline void fold_feel(const FeelParams<Real>& k, Real tick, Real effort, Real deceleration,
                      FeelFolds<Real>& f) {
  const auto begun = tick > k.coasting_tick;
  f.coasting = select(begun, f.coasting, deceleration);
  const Real now = select(begun, deceleration - f.coasting, Real(0.0));
  const auto rises = effort > f.last_effort, falls = effort < f.last_effort;
  for (int i = 0; i < kFeelLevels; ++i) {
    const Real level = k.step * double(i + 1);
    f.up[i] = select(rises & (f.last < level) & (now >= level), effort, f.up[i]);
    f.down[i] = select(falls & (f.last >= level) & (now < level), effort, f.down[i]);
  }
  f.last_effort = effort;
  f.last = now;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::measure
