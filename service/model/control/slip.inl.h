// Controller step 6: reference speed and slip limiter per axle or wheel. Kernel: included by engine
// translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/control/params.h"
#include "model/control/structure.h"

namespace brakeward::control {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct SlipControl {
  Real reference;                   // m/s
  Real releasing[signal::kWheels];  // 1 while pressure is taken away
  Real factor[signal::kWheels];     // 1, share of the demand that is left
  Real speed[signal::kWheels];      // m/s, of the wheel or axle at the last tick
};

template <class Real>
inline void start(Real speed, SlipControl<Real>& s) {
  s.reference = speed;
  for (int w = 0; w < signal::kWheels; ++w) {
    s.releasing[w] = Real(0.0);
    s.factor[w] = Real(1.0);
    s.speed[w] = speed;
  }
}

// Reference speed: the fastest wheel, changing no faster than allowed, so that neither a locking wheel nor
// one that spins up after a release carries it along. With an accelerometer it falls no faster than `felt`
// (m/s^2, forward) and a margin say, so that on a slippery road it does not go with four wheels that lock
// at once. An axle's slip is that of its slower
// wheel; with one pressure per axle the limiter follows it (select low). Hysteresis between the two
// thresholds; while a slipping wheel gains speed its share may be held. It acts only while braking is `asked`
// for: a wheel may slip under traction too. `slow` and `fast` are the wheels' circumferential speeds (m/s)
// that the slowest and the fastest are found among.
template <class Real>
inline void limit_slip(const SlipParams<Real>& p, const ControlStructure& st, Mask<Real> asked, Real felt,
                       const Real (&slow)[signal::kWheels], const Real (&fast)[signal::kWheels],
                       SlipControl<Real>& s) {
  Real slowest[signal::kAxles];
  Real fastest = Real(0.0);
  for (int a = 0; a < signal::kAxles; ++a) {
    slowest[a] = min(slow[2 * a], slow[2 * a + 1]);
    fastest = max(fastest, max(fast[2 * a], fast[2 * a + 1]));
  }
  Real fall = p.reference_change_per_tick;
  if (st.feels_deceleration)
    fall = min(fall, fma(max(-felt, Real(0.0)), p.tick, p.reference_margin_per_tick));
  s.reference = clamp(fastest, s.reference - fall, s.reference + p.reference_change_per_tick);
  const auto off = (s.reference < p.off_below) | !asked;
  const Real divisor = max(s.reference, Real(0.5));
  const int stride = st.wheel_valves ? 1 : 2;
  for (int w = 0; w < signal::kWheels; w += stride) {
    const int a = signal::axle_of(w);
    Real speed = slowest[a];
    if (st.wheel_valves) speed = select(p.each_wheel[a] > Real(0.5), slow[w], speed);
    const Real behind = s.reference - speed;  // slip x divisor
    const Real switched = select(behind > p.release_slip[a] * divisor, Real(1.0),
                                 select(behind < p.reapply_slip[a] * divisor, Real(0.0), s.releasing[w]));
    s.releasing[w] = select(off, Real(0.0), switched);
    Real change = select(s.releasing[w] > Real(0.5), -p.release_per_tick[a], p.reapply_per_tick[a]);
    if (st.holds_slipping) {
      const auto recovers = (s.releasing[w] > Real(0.5)) & (speed - s.speed[w] > p.hold_above_per_tick);
      change = select(recovers, Real(0.0), change);
      s.speed[w] = speed;
    }
    s.factor[w] = clamp(s.factor[w] + change, p.least_factor[a], Real(1.0));
    if (stride == 2) s.factor[w + 1] = s.factor[w];
  }
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::control
