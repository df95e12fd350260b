// Heat of a wheel brake. Kernel: included by engine translation units only.
#pragma once

#include "math/constants.h"
#include "math/kernel.inl.h"
#include "model/plant/heat_params.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

inline constexpr double kStefanBoltzmann = 5.670374419e-8;  // W/(m^2 K^4), CODATA 2018

template <class Real, int kDisc = kDiscNodes>
struct HeatState {
  Real node[HeatChain<kDisc>::kNodes];  // degC
  Real energy;                          // J, of friction since the step before
};

// What a step would otherwise work out each time. The conduction's matrix is the same in every step, so it is
// eliminated once and no division is left.
template <class Real, int kDisc = kDiscNodes>
struct HeatConstants {
  Real per_time;                              // 1/s
  Real stored[HeatChain<kDisc>::kNodes];      // W/K, capacity over time
  Real per_stored[HeatChain<kDisc>::kNodes];  // K/W
  Real inverse[HeatChain<kDisc>::kNodes];     // K/W, of the pivots
  Real passed[HeatChain<kDisc>::kNodes];      // 1, from the node before on to this one
};

template <class Real, int kDisc>
BRAKEWARD_INLINE HeatConstants<Real, kDisc> heat_constants(const HeatParams<Real, kDisc>& p, Real time) {
  constexpr int n = HeatChain<kDisc>::kNodes;
  HeatConstants<Real, kDisc> k;
  k.per_time = 1.0 / time;
  k.passed[0] = Real(0.0);
  for (int i = 0; i < n; ++i) {
    k.stored[i] = p.capacity[i] * k.per_time;
    k.per_stored[i] = 1.0 / k.stored[i];
    Real pivot = k.stored[i];
    if (i < n - 1) pivot += p.link[i];
    if (i > 0) {
      k.passed[i] = p.link[i - 1] * k.inverse[i - 1];
      pivot += fma(-k.passed[i], p.link[i - 1], p.link[i - 1]);
    }
    k.inverse[i] = 1.0 / pivot;
  }
  return k;
}

// Disc and pads at the disc's temperature, fluid and caliper at the fluid's, the hub at that of the air.
template <class Real, int kDisc>
BRAKEWARD_INLINE void start_heat(Real disc, Real fluid, Real ambient, HeatState<Real, kDisc>& s) {
  using Chain = HeatChain<kDisc>;
  s.node[Chain::kHub] = ambient;
  for (int i = Chain::kBack; i <= Chain::kPad; ++i) s.node[i] = disc;
  s.node[Chain::kFluid] = s.node[Chain::kCaliper] = fluid;
  s.energy = Real(0.0);
}

// W/K from the face by radiation: T^4 - A^4 = (T - A)(T + A)(T^2 + A^2) in kelvin, without the first factor.
template <class Real>
BRAKEWARD_INLINE Real radiation(Real radiating, Real face, Real ambient) {
  const Real hot = face + kZeroCelsius, cold = ambient + kZeroCelsius;
  return radiating * kStefanBoltzmann * (hot + cold) * fma(hot, hot, cold * cold);
}

// What a node gives to the air in a step: L t (T - A), but never more than takes it to the air's temperature.
// (Implicit, the thin node at the face would lose too little: conduction, which refills it, comes after.)
template <class Real>
BRAKEWARD_INLINE void lose(Real loss, Real per_stored, Real ambient, Real& node) {
  node = fma(min(Real(1.0), loss * per_stored), ambient - node, node);
}

// One step of whole chains, those of an axle: first the air, then friction and conduction together by
// backward Euler,
//   C_i (T_i' - T_i) / t = G_(i-1) (T_(i-1)' - T_i') + G_i (T_(i+1)' - T_i') + Q_i.
// Whatever the step, no node leaves the range of its neighbours and the air unless friction heats it, which
// no method of higher order can promise (Bolley and Crouzeix 1978; from memory). What leaves a node arrives
// at the next or in the air to the last digit. Node by node over the wheels, so that one wheel's sums run
// while another's wait.
template <int kWheels, class Real, int kDisc>
BRAKEWARD_INLINE void step_heat(const HeatParams<Real, kDisc>& p, const HeatConstants<Real, kDisc>& k,
                                Real speed, Real ambient, HeatState<Real, kDisc>* s) {
  using Chain = HeatChain<kDisc>;
  constexpr int n = Chain::kNodes;
  const Real film = fma(p.convection_per_mps, abs(speed), p.convection_at_rest);
  const Real hub = film * p.hub_area, back = film * p.back_area, caliper = film * p.caliper_area;
  Real heat[n][kWheels];
  for (int w = 0; w < kWheels; ++w) {
    const Real face = fma(film, p.face_area, radiation(p.radiating, s[w].node[Chain::kFace], ambient));
    lose(hub, k.per_stored[Chain::kHub], ambient, s[w].node[Chain::kHub]);
    lose(back, k.per_stored[Chain::kBack], ambient, s[w].node[Chain::kBack]);
    lose(face, k.per_stored[Chain::kFace], ambient, s[w].node[Chain::kFace]);
    lose(caliper, k.per_stored[Chain::kCaliper], ambient, s[w].node[Chain::kCaliper]);
    const Real power = s[w].energy * k.per_time, into_disc = power * p.disc_share;
    s[w].energy = Real(0.0);
    for (int i = 0; i < n; ++i) heat[i][w] = k.stored[i] * s[w].node[i];
    heat[Chain::kFace][w] += into_disc;
    heat[Chain::kPad][w] += power - into_disc;
  }
  for (int i = 1; i < n; ++i)
    for (int w = 0; w < kWheels; ++w) heat[i][w] = fma(k.passed[i], heat[i - 1][w], heat[i][w]);
  for (int w = 0; w < kWheels; ++w) s[w].node[n - 1] = heat[n - 1][w] * k.inverse[n - 1];
  for (int i = n - 2; i >= 0; --i)
    for (int w = 0; w < kWheels; ++w)
      s[w].node[i] = fma(k.passed[i + 1], s[w].node[i + 1], heat[i][w] * k.inverse[i]);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
