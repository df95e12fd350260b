// Controller step 2: the accelerator pressed while the driver brakes. Kernel: included by engine translation
// units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/control/params.h"

namespace brakeward::control {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct AcceleratorOverlap {
  Real both_ticks;  // since accelerator and brake are both applied
  Real overruled;   // 1 once that has lasted, until the accelerator is let go
  Real share;       // 1, of the accelerator's request that is left
};

template <class Real>
inline void start(AcceleratorOverlap<Real>& s) {
  s.both_ticks = s.overruled = Real(0.0);
  s.share = Real(1.0);
}

// The share of the accelerator's request that is left. `asked`: Pa that the driver asks for, without a hold.
template <class Real>
BRAKEWARD_INLINE Real overrule(const OverlapParams<Real>& p, Real accelerator, Real asked,
                               AcceleratorOverlap<Real>& s) {
  const auto both = (accelerator > p.accelerator) & (asked > p.request);
  s.both_ticks = select(both, s.both_ticks + 1.0, Real(0.0));
  const Real kept = select(accelerator < p.released_below, Real(0.0), s.overruled);
  s.overruled = select(s.both_ticks > p.plausible_ticks, Real(1.0), kept);
  const Real wanted = select(s.overruled > Real(0.5), p.kept_share, Real(1.0));
  s.share = clamp(wanted, s.share - p.change_per_tick, s.share + p.change_per_tick);
  return s.share;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::control
