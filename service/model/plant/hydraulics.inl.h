// Actuators, lines and calipers. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/constants.inl.h"
#include "model/plant/params.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

// A caliper's fluid. Both calipers of an axle are alike and fed alike, so one stands for both.
template <class Real>
struct Caliper {
  Real volume;    // m^3 beyond rest
  Real root;      // m^3, sqrt(u^2 + k^2) of the pressure law
  Real pressure;  // Pa
};

template <class Real>
struct HydraulicState {
  Caliper<Real> caliper[signal::kAxles];
  Real actuator[signal::kAxles];  // Pa behind the lines
};

// Caliper pressure over volume: p = K/2 (u + sqrt(u^2 + k^2)) less its value at V = 0, u = V - V_clearance:
// no pressure in the clearance, a soft knee of width k, then the linear stiffness K. Shape: common practice,
// no source.
template <class Real>
BRAKEWARD_INLINE Caliper<Real> caliper_at(const BrakeParams<Real>& b, const AxleConstants<Real>& k,
                                          Real volume) {
  Caliper<Real> c;
  const Real u = volume - b.clearance;
  c.volume = volume;
  c.root = sqrt(fma(u, u, k.knee_square));
  c.pressure = max(Real(0.0), k.half_stiffness * (u + c.root - k.rest));
  return c;
}

// What was left of the actuators during a step.
template <class Real>
struct Authority {
  Real margin;     // 1, least of 1 - p/stall and 1 - V/V_max over both circuits
  Real saturated;  // 1 while a flow limit acts
};

// One step. Orifice law with a laminar part, Q = G dp / sqrt(|dp| + p_lam) (turbulent branch: Q = C_d A
// sqrt(2 dp/rho), Bernoulli), linearised in the caliper stiffness dp/dV = K/2 (1 + u/root) and stepped
// implicitly, since the line has no node of its own. An axle's inflow is bounded by the actuator's flow at
// its back pressure and by the volume left in its stroke.
template <class Real>
BRAKEWARD_INLINE Authority<Real> step_hydraulics(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                                 const Real (&command)[signal::kAxles], Real h,
                                                 HydraulicState<Real>& s) {
  Authority<Real> authority;
  authority.margin = Real(1.0);
  authority.saturated = Real(0.0);
  for (int a = 0; a < signal::kAxles; ++a) {
    const BrakeParams<Real>& b = car.brake[a];
    const ActuatorParams<Real>& act = car.actuator[a];
    const AxleConstants<Real>& ka = k.axle[a];
    const Caliper<Real>& c = s.caliper[a];
    const Real wanted = min(command[a], act.stall_pressure);
    s.actuator[a] = fma(ka.approach, wanted - s.actuator[a], s.actuator[a]);
    const Real drop = s.actuator[a] - c.pressure;
    const Real resistance = sqrt(abs(drop) + b.laminar_pressure);
    const Real conductance = h * b.flow_gain;
    const Real bend = c.volume - b.clearance + c.root;
    const Real inflow =
        conductance * drop * c.root / fma(resistance, c.root, conductance * ka.half_stiffness * bend);
    const Real delivery = ka.volume_a_step * max(Real(0.0), fma(-ka.per_stall, s.actuator[a], Real(1.0)));
    const Real room = max(Real(0.0), fma(Real(-2.0), c.volume, act.volume_limit));
    const Real bound = 0.5 * min(delivery, room);
    authority.saturated = select(inflow > bound, Real(1.0), authority.saturated);
    const Real pressure_left = fma(-ka.per_stall, command[a], Real(1.0));
    const Real volume_left = fma(-2.0 * ka.per_volume_limit, c.volume, Real(1.0));
    authority.margin = min(authority.margin, min(pressure_left, volume_left));
    s.caliper[a] = caliper_at(b, ka, max(Real(0.0), c.volume + min(inflow, bound)));
  }
  return authority;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
