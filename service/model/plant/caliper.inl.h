// Pressure of a caliper over the fluid in it. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/constants.inl.h"
#include "model/plant/params.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

inline constexpr double kAtmosphere = 101325.0;  // Pa, standard atmosphere (ISO 2533)

// A caliper's fluid.
template <class Real>
struct Caliper {
  Real volume;    // m^3 beyond rest; negative while the pads are knocked back
  Real moved;     // m^3 of it that moves pistons; the rest fills the room that gas has given up
  Real root;      // m^3, sqrt(u^2 + k^2) of the pressure law
  Real pressure;  // Pa
  Real give;      // 1, d volume / d moved
};

// Without gas. Pressure over volume: p = K/2 (u + sqrt(u^2 + k^2)) less its value at V = 0, u = V -
// V_clearance: no pressure in the clearance, a soft knee of width k, then the linear stiffness K. Shape:
// common practice, no source.
template <class Real>
BRAKEWARD_INLINE Caliper<Real> caliper_at(const BrakeParams<Real>& b, const AxleConstants<Real>& k,
                                          Real volume) {
  Caliper<Real> c;
  const Real u = volume - b.clearance;
  c.volume = c.moved = volume;
  c.root = sqrt(fma(u, u, k.knee_square));
  c.pressure = max(Real(0.0), k.half_stiffness * (u + c.root - k.rest));
  c.give = Real(1.0);
  return c;
}

// Of Newton's method; they leave less than 1e-12 m^3 of what a tick changes.
inline constexpr int kGasSteps = 5;

// With gas of volume G at the air's pressure p_a, which Boyle's law makes G p_a / (p + p_a): fluid takes its
// place, so V = V_moved + G p / (p + p_a). Solved for V_moved from the value before. Where there is none in
// any lane the answer is known: with G = 0 the last step ends on V to the bit.
template <class Real>
BRAKEWARD_INLINE Caliper<Real> caliper_with_gas(const BrakeParams<Real>& b, const AxleConstants<Real>& k,
                                                Real gas, Real volume, Real moved) {
  if (!any(gas > Real(0.0))) return caliper_at(b, k, volume);
  Caliper<Real> c;
  for (int i = 0;; ++i) {
    c = caliper_at(b, k, moved);
    const Real per_absolute = 1.0 / (c.pressure + kAtmosphere);
    const Real stiffness = k.half_stiffness * (moved - b.clearance + c.root) / c.root;
    c.give = fma(gas * kAtmosphere * per_absolute * per_absolute, stiffness, Real(1.0));
    if (i == kGasSteps) break;
    moved = moved - (fma(gas * c.pressure, per_absolute, moved) - volume) / c.give;
  }
  c.volume = volume;
  return c;
}

template <class Real>
BRAKEWARD_INLINE Caliper<Real> filled(const BrakeParams<Real>& b, const AxleConstants<Real>& k,
                                      bool may_hold_gas, Real gas, Real volume, Real moved) {
  return may_hold_gas ? caliper_with_gas(b, k, gas, volume, moved) : caliper_at(b, k, volume);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
