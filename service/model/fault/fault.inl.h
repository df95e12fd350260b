// Timed faults. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/fault/params.h"

namespace brakeward::fault {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
inline signal::FaultEffects<Real> effects_at(const FaultParams<Real>& p, Real tick) {
  signal::FaultEffects<Real> out;
  for (int t = 0; t < signal::kHandTracks; ++t) {
    const TrackFault<Real>& f = p.hand[t];
    const auto active = (tick >= f.start_tick) & (tick < f.end_tick);
    out.hand_gain[t] = select(active, f.gain, Real(1.0));
    out.hand_offset[t] = select(active, f.offset, Real(0.0));
  }
  return out;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::fault
