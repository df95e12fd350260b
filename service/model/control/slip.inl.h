// Controller step 6: reference speed and slip limiter per axle. Kernel: included by engine translation units
// only.
#pragma once

#include "math/kernel.inl.h"
#include "model/control/params.h"

namespace brakeward::control {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct SlipControl {
  Real reference;                  // m/s
  Real releasing[signal::kAxles];  // 1 while pressure is taken away
  Real factor[signal::kAxles];     // 1, share of the demand that is left
};

template <class Real>
inline void start(Real speed, SlipControl<Real>& s) {
  s.reference = speed;
  for (int a = 0; a < signal::kAxles; ++a) {
    s.releasing[a] = Real(0.0);
    s.factor[a] = Real(1.0);
  }
}

// Reference speed: the fastest wheel, changing no faster than allowed, so that neither a locking wheel nor
// one that spins up after a release carries it along. An axle's slip is that of its slower
// wheel; with one pressure per axle the limiter follows it (select low). Hysteresis between the two
// thresholds. It acts only while braking is `asked` for: a wheel may slip under traction too. `slow` and
// `fast` are the wheels' circumferential speeds (m/s) that the slowest and the fastest are found among.
template <class Real>
inline void limit_slip(const SlipParams<Real>& p, Mask<Real> asked, const Real (&slow)[signal::kWheels],
                       const Real (&fast)[signal::kWheels], SlipControl<Real>& s) {
  Real slowest[signal::kAxles];
  Real fastest = Real(0.0);
  for (int a = 0; a < signal::kAxles; ++a) {
    slowest[a] = min(slow[2 * a], slow[2 * a + 1]);
    fastest = max(fastest, max(fast[2 * a], fast[2 * a + 1]));
  }
  s.reference =
      clamp(fastest, s.reference - p.reference_change_per_tick, s.reference + p.reference_change_per_tick);
  const auto off = (s.reference < p.off_below) | !asked;
  const Real divisor = max(s.reference, Real(0.5));
  for (int a = 0; a < signal::kAxles; ++a) {
    const Real behind = s.reference - slowest[a];  // slip x divisor
    const Real switched = select(behind > p.release_slip[a] * divisor, Real(1.0),
                                 select(behind < p.reapply_slip[a] * divisor, Real(0.0), s.releasing[a]));
    s.releasing[a] = select(off, Real(0.0), switched);
    const Real change = select(s.releasing[a] > Real(0.5), -p.release_per_tick[a], p.reapply_per_tick[a]);
    s.factor[a] = clamp(s.factor[a] + change, p.least_factor[a], Real(1.0));
  }
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::control
