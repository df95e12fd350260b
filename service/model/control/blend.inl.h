// Controller step 5: braking with motors. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/control/params.h"

namespace brakeward::control {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct BlendControl {
  Real asked[signal::kAxles];  // N m, of the motor
};

template <class Real>
inline void start(BlendControl<Real>& s) {
  for (int a = 0; a < signal::kAxles; ++a) s.asked[a] = Real(0.0);
}

// What the axle's motor is asked for: its limit, faded out towards standstill, but no more than the axle's
// demand and nothing while the slip limiter acts there; at the slew limit, but never more than the demand,
// however fast that falls.
template <class Real>
BRAKEWARD_INLINE Real ask_motor(const BlendParams<Real>& p, Real demand, Real speed, Mask<Real> limiting,
                                int a, BlendControl<Real>& s) {
  const Real fade = clamp((speed - p.fade_to) * p.per_fade, Real(0.0), Real(1.0));
  const Real wanted = select(limiting, Real(0.0), fade * p.limit[a]);
  const Real slewed = clamp(wanted, s.asked[a] - p.slew_per_tick, s.asked[a] + p.slew_per_tick);
  s.asked[a] = min(slewed, demand);
  return s.asked[a];
}

// The target that is left to the friction brakes once the motor's braking, as it says itself, is taken off.
template <class Real>
BRAKEWARD_INLINE Real left_to_friction(const BlendParams<Real>& p, Real target, Real motor_braking, int a) {
  const Real of_motor = motor_braking / max(Real(1e-9), p.torque_per_pressure[a]);
  return select(p.limit[a] > Real(0.0), max(Real(0.0), target - of_motor), target);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::control
