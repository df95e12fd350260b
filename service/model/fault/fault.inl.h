// Timed faults. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/fault/params.h"

namespace brakeward::fault {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
BRAKEWARD_INLINE Real in_force(const TimedFault<Real>& f, Real tick, Real otherwise) {
  return select((tick >= f.start_tick) & (tick < f.end_tick), f.value, otherwise);
}

// `disturbed`: anything besides the tracks can happen in this batch.
template <class Real>
inline signal::FaultEffects<Real> effects_at(const FaultParams<Real>& p, bool disturbed, Real tick) {
  signal::FaultEffects<Real> out;
  for (int t = 0; t < signal::kHandTracks; ++t) {
    const TrackFault<Real>& f = p.hand[t];
    const auto active = (tick >= f.start_tick) & (tick < f.end_tick);
    out.hand_gain[t] = select(active, f.gain, Real(1.0));
    out.hand_offset[t] = select(active, f.offset, Real(0.0));
  }
  if (!disturbed) return out;
  out.supply = in_force(p.supply, tick, p.supply_volts);
  for (int a = 0; a < signal::kAxles; ++a) {
    out.dead[a] = in_force(p.dead[a], tick, Real(0.0));
    out.leak[a] = in_force(p.leak[a], tick, Real(0.0));
  }
  for (int w = 0; w < signal::kWheels; ++w)
    out.knock_due[w] = select(tick >= p.knock_back_tick[w], Real(1.0), Real(0.0));
  return out;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::fault
