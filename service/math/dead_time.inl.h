// A delay of a fixed number of ticks, which need not be whole. Kernel: included by engine translation units
// only.
#pragma once

#include "math/kernel.inl.h"

namespace brakeward::math {
inline namespace BRAKEWARD_ISA {

// Whole ticks are an offset into a ring of each lane's own, the rest is interpolated towards the value one
// tick older, which is what arrived whole a tick before. `depth` is a power of two above the longest delay.
template <class Real, int depth>
struct DeadTime {
  static_assert((depth & (depth - 1)) == 0);
  Real ring[depth];
  Real part;   // of a tick
  Real older;  // arrived whole in the tick before
  int whole[Traits<Real>::lanes];
};

template <class Real, int depth>
inline void start(Real dead_ticks, DeadTime<Real, depth>& s) {
  const Real whole = floor(dead_ticks);
  s.part = dead_ticks - whole;
  s.older = Real(0.0);
  for (int k = 0; k < Traits<Real>::lanes; ++k) s.whole[k] = int(get(whole, k));
  for (int i = 0; i < depth; ++i) s.ring[i] = Real(0.0);
}

// Takes the value of this tick, gives the one that arrives.
template <class Real, int depth>
BRAKEWARD_INLINE Real delay(long tick, Real value, DeadTime<Real, depth>& s) {
  s.ring[tick & (depth - 1)] = value;
  const double* from[Traits<Real>::lanes];
  for (int k = 0; k < Traits<Real>::lanes; ++k)
    from[k] = reinterpret_cast<const double*>(&s.ring[(tick - s.whole[k]) & (depth - 1)]) + k;
  const Real near = load<Real>(from, 0);
  const Real arrived = fma(s.part, s.older - near, near);
  s.older = near;
  return arrived;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::math
