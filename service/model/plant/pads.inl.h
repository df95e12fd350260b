// Friction, wear and boiling of a wheel brake. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/caliper.inl.h"
#include "model/plant/heat.inl.h"
#include "model/plant/params.h"
#include "model/plant/structure.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct PadState {
  Real clamping;  // Pa that presses the pads: the caliper's, less or plus what the seals hold
  Real lack;      // 1, share of the friction that is missing
  Real worn;      // m^3
};

// Torque 2 mu(T, p, v) A (p - p_open)+ r_eff, at least the drag of pads that rub.
template <class Real>
BRAKEWARD_INLINE Real brake_torque(const BrakeParams<Real>& b, const PlantStructure& st, Real pressure,
                                   Real wheel_speed, Real face, PadState<Real>& s) {
  Real pressing = pressure;
  if (st.seals)
    pressing = s.clamping = clamp(s.clamping, pressure - b.seal_friction, pressure + b.seal_friction);
  const Real clamped = b.torque_per_pascal * max(Real(0.0), pressing - b.opening_pressure);
  Real friction = evaluate(b.pad, st.pad_segments, face);
  if (st.pad_pressure_segments > 0)
    friction = friction * evaluate(b.pad_per_pressure, st.pad_pressure_segments, pressure);
  if (st.pad_speed_segments > 0)
    friction =
        friction * evaluate(b.pad_per_speed, st.pad_speed_segments, abs(wheel_speed) * b.effective_radius);
  if (st.pads_lack) friction = fma(-friction, s.lack, friction);
  return max(clamped * friction, b.drag);
}

// Friction work E dries wet pads and beds new ones, d lack / dE = -lack / W, and wears them by a rate over
// the temperature of the face (a linear wear law, Archard 1953, with work for load times distance).
template <class Real>
BRAKEWARD_INLINE void rub(const BrakeParams<Real>& b, const PlantStructure& st, Real work, Real face,
                          PadState<Real>& s) {
  if (st.pads_lack) s.lack = s.lack / fma(work, b.per_recovery_work, Real(1.0));
  if (st.wear_segments > 0) s.worn = fma(work, evaluate(b.wear, st.wear_segments, face), s.worn);
}

// Of water at 100 degC: 40.65 kJ/mol over the gas constant (handbook value, from memory). The water in it
// boils first.
inline constexpr double kVaporization = 40650.0 / 8.314462618;  // K
inline constexpr double kCollapseTime = 0.05;                   // s; common practice, no source

// Vapour in a caliper. The pressure at which fluid of temperature T boils is p_a exp(B (1/T_b - 1/T))
// (Clausius and Clapeyron). Below it vapour forms, the faster the hotter, as far as there is fluid; above it
// the vapour goes, in a time of its own.
template <class Real>
BRAKEWARD_INLINE Real vapour_after(const BrakeParams<Real>& b, Real fluid, Real pressure, Real time,
                                   Real vapour) {
  if (!any((fluid > b.boiling) | (vapour > Real(0.0)))) return vapour;
  const Real boiling = b.boiling + kZeroCelsius, now = fluid + kZeroCelsius;
  const Real saturated = kAtmosphere * exp(kVaporization * (now - boiling) / (boiling * now));
  const auto boils = pressure + kAtmosphere < saturated;
  const Real grown =
      min(b.vapour_limit, fma(b.vapour_growth * time, max(Real(0.0), fluid - b.boiling), vapour));
  return select(boils, grown, vapour * exp(time * Real(-1.0 / kCollapseTime)));
}

// Air follows the fluid's temperature at constant pressure (ideal gas).
template <class Real>
BRAKEWARD_INLINE Real warmed_air(Real air, Real start, Real fluid) {
  return air * (fluid + kZeroCelsius) / (start + kZeroCelsius);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
