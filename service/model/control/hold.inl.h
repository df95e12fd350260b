// Controller step 7: the hold at standstill, and the launch that ends it. Kernel: included by engine
// translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/control/params.h"

namespace brakeward::control {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct StandstillHold {
  Real standing_ticks;
  Real let_go_ticks;  // since the driver last asked for braking
  Real holding;       // 1 while the car is held, else 0
  Real pressure;      // Pa, demanded mean pressure that is held
};

template <class Real>
inline void start(StandstillHold<Real>& s) {
  s.standing_ticks = s.let_go_ticks = s.holding = s.pressure = Real(0.0);
}

// The demand with the hold in it, Pa: what the driver asks for (`asked`) or what is held, whichever is more.
// Held is a share of the greatest `demand` reached while the car stood and the driver asked for it; never
// what was only asked for. The hold ends when the accelerator asks for torque, when the car rolls or when its
// time is over; then what is held falls at its rate.
template <class Real>
inline Real hold_at_standstill(const HoldParams<Real>& p, Real reference, Real accelerator, Real asked,
                               Real demand, StandstillHold<Real>& s) {
  const Real one = Real(1.0), zero = Real(0.0);
  s.standing_ticks = select(reference < p.standing_below, s.standing_ticks + one, zero);
  const auto brakes = asked > zero;
  s.let_go_ticks = select(brakes, zero, s.let_go_ticks + one);
  const auto stands = brakes & (s.standing_ticks > p.standing_ticks);
  const auto ends =
      (reference > p.rolls_above) | (accelerator > p.launch_accelerator) | (s.let_go_ticks > p.longest_ticks);
  s.holding = select(ends, zero, select(stands, one, s.holding));
  const Real reached = max(s.pressure, min(p.limit, p.share * demand));
  const Real held = select(stands, reached, s.pressure);
  const Real falling = max(zero, s.pressure - p.release_per_tick);
  s.pressure = select(s.holding > Real(0.5), held, falling);
  return max(asked, s.pressure);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::control
