// Timed faults. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/fault/params.h"
#include "model/fault/structure.h"

namespace brakeward::fault {
inline namespace BRAKEWARD_ISA {

using namespace math;

// Where the noise of each request track has come to in its sequence.
template <class Real>
struct FaultState {
  Real hand_noise[signal::kHandTracks];
  Real pedal_noise;
};

template <class Real>
inline void start(const FaultParams<Real>& p, FaultState<Real>& s) {
  for (int t = 0; t < signal::kHandTracks; ++t) s.hand_noise[t] = p.hand[t].seed;
  s.pedal_noise = p.pedal.seed;
}

template <class Fault, class Real>
BRAKEWARD_INLINE Mask<Real> active(const Fault& f, Real tick) {
  return (tick >= f.start_tick) & (tick < f.end_tick);
}

template <class Real>
BRAKEWARD_INLINE Real in_force(const TimedFault<Real>& f, Real tick, Real otherwise) {
  return select(active(f, tick), f.value, otherwise);
}

template <class Real>
BRAKEWARD_INLINE void gain_and_offset(const TrackFault<Real>& f, Real tick, Real& gain, Real& offset) {
  const auto now = active(f, tick);
  gain = select(now, f.gain, Real(1.0));
  offset = select(now, f.offset, Real(0.0));
}

// What more may befall a track. The sequence runs from the start of the replay, so that its numbers depend on
// seed and tick alone.
template <class Real>
BRAKEWARD_INLINE void noise_and_stuck(const TrackFault<Real>& f, Real tick, Real& noise, Real& offset,
                                      Real& stuck) {
  const auto now = active(f, tick);
  noise = lehmer(noise);
  offset = offset + select(now, f.noise * even(noise), Real(0.0));
  stuck = select(now, f.stuck, Real(0.0));
}

template <class Real>
BRAKEWARD_INLINE void fail_sensors(const FaultParams<Real>& p, Real tick, FaultState<Real>& s,
                                   signal::FaultEffects<Real>& out) {
  for (int t = 0; t < signal::kHandTracks; ++t)
    noise_and_stuck(p.hand[t], tick, s.hand_noise[t], out.hand_offset[t], out.hand_stuck[t]);
  gain_and_offset(p.pedal, tick, out.pedal_gain, out.pedal_offset);
  noise_and_stuck(p.pedal, tick, s.pedal_noise, out.pedal_offset, out.pedal_stuck);
  for (int a = 0; a < signal::kAxles; ++a) {
    const PressureFault<Real>& f = p.pressure[a];
    const auto now = active(f, tick);
    out.pressure_offset[a] = select(now, fma(f.drift_per_tick, tick - f.start_tick, f.offset), Real(0.0));
    out.pressure_stuck[a] = select(now, f.stuck, Real(0.0));
  }
  for (int w = 0; w < signal::kWheels; ++w) out.speed_lost[w] = in_force(p.speed_lost[w], tick, Real(0.0));
  out.bus_silent = in_force(p.bus_silent, tick, Real(0.0));
  out.bus_delay = in_force(p.bus_delay, tick, Real(0.0));
  out.acceleration_offset = in_force(p.acceleration_offset, tick, Real(0.0));
}

// `disturbed`: anything can happen in the plant of this batch.
template <class Real>
inline signal::FaultEffects<Real> effects_at(const FaultParams<Real>& p, const FaultChoices& choices,
                                             bool disturbed, Real tick, FaultState<Real>& s) {
  signal::FaultEffects<Real> out;
  for (int t = 0; t < signal::kHandTracks; ++t)
    gain_and_offset(p.hand[t], tick, out.hand_gain[t], out.hand_offset[t]);
  out.bus_silent = out.bus_delay = out.acceleration_offset = Real(0.0);
  if (choices.sensors) fail_sensors(p, tick, s, out);
  out.pedal_selected = in_force(p.selector, tick, p.pedal_selected);
  out.accelerator = Real(0.0);
  if (choices.accelerator) out.accelerator = in_force(p.accelerator, tick, Real(0.0));
  out.supply = p.supply_volts;
  if (!disturbed) return out;
  out.supply = in_force(p.supply, tick, p.supply_volts);
  for (int a = 0; a < signal::kAxles; ++a) {
    out.dead[a] = in_force(p.dead[a], tick, Real(0.0));
    out.response[a] = in_force(p.response[a], tick, Real(1.0));
    out.flow[a] = in_force(p.flow[a], tick, Real(1.0));
    out.leak[a] = in_force(p.leak[a], tick, Real(0.0));
  }
  for (int w = 0; w < signal::kWheels; ++w)
    out.knock_due[w] = select(tick >= p.knock_back_tick[w], Real(1.0), Real(0.0));
  return out;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::fault
