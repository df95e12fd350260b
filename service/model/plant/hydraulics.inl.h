// Actuators, lines and calipers. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/params.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct HydraulicState {
  Real volume[signal::kWheels];   // m^3 of fluid in the caliper beyond rest
  Real actuator[signal::kAxles];  // Pa behind the lines
};

template <class Real>
struct CaliperPressure {
  Real pressure;  // Pa
  Real slope;     // Pa/m^3
};

// Caliper pressure over volume: p = K/2 (u + sqrt(u^2 + k^2)) less its value at V = 0, u = V - V_clearance:
// no pressure in the clearance, a soft knee of width k, then the linear stiffness K. Shape: common practice,
// no source.
template <class Real>
inline CaliperPressure<Real> caliper_pressure(const BrakeParams<Real>& b, Real volume) {
  const Real rest = sqrt(fma(b.clearance, b.clearance, b.knee * b.knee));
  const Real u = volume - b.clearance;
  const Real root = sqrt(fma(u, u, b.knee * b.knee));
  CaliperPressure<Real> out;
  out.pressure = max(Real(0.0), 0.5 * b.stiffness * ((u + root) - (rest - b.clearance)));
  out.slope = 0.5 * b.stiffness * (1.0 + u / root);
  return out;
}

// What was left of the actuators during a step.
template <class Real>
struct Authority {
  Real margin;     // 1, least of 1 - p/stall and 1 - V/V_max over both circuits
  Real saturated;  // 1 while a flow limit acts
};

// One step. Orifice law with a laminar part, Q = G dp / sqrt(|dp| + p_lam) (turbulent branch: Q = C_d A
// sqrt(2 dp/rho), Bernoulli), linearised in the caliper stiffness and stepped implicitly, since the line has
// no node of its own. The sum of an axle's inflow is bounded by the actuator's flow at its back pressure and
// by the volume left in its stroke.
template <class Real>
inline Authority<Real> step_hydraulics(const PlantParams<Real>& car, const Real (&command)[signal::kAxles],
                                       Real h, HydraulicState<Real>& s) {
  Authority<Real> authority;
  authority.margin = Real(1.0);
  authority.saturated = Real(0.0);
  Real flow[signal::kWheels];
  for (int a = 0; a < signal::kAxles; ++a) {
    const ActuatorParams<Real>& act = car.actuator[a];
    const Real wanted = min(command[a], act.stall_pressure);
    s.actuator[a] = s.actuator[a] + h / (act.lag + h) * (wanted - s.actuator[a]);
  }
  for (int w = 0; w < signal::kWheels; ++w) {
    const BrakeParams<Real>& b = car.brake[signal::axle_of(w)];
    const CaliperPressure<Real> p = caliper_pressure(b, s.volume[w]);
    const Real drop = s.actuator[signal::axle_of(w)] - p.pressure;
    const Real gain = b.flow_gain / sqrt(abs(drop) + b.laminar_pressure);
    flow[w] = gain * drop / fma(gain * h, p.slope, Real(1.0));
  }
  for (int a = 0; a < signal::kAxles; ++a) {
    const ActuatorParams<Real>& act = car.actuator[a];
    const int left = 2 * a, right = 2 * a + 1;
    const Real inflow = flow[left] + flow[right];
    const Real volume = s.volume[left] + s.volume[right];
    const Real delivery = act.flow_limit * max(Real(0.0), 1.0 - s.actuator[a] / act.stall_pressure);
    const Real bound = min(delivery, max(Real(0.0), (act.volume_limit - volume) / h));
    const auto limited = inflow > bound;
    const Real scale = select(limited, bound / select(limited, inflow, Real(1.0)), Real(1.0));
    s.volume[left] = max(Real(0.0), fma(h * scale, flow[left], s.volume[left]));
    s.volume[right] = max(Real(0.0), fma(h * scale, flow[right], s.volume[right]));
    authority.saturated = select(limited, Real(1.0), authority.saturated);
    authority.margin =
        min(authority.margin, min(1.0 - command[a] / act.stall_pressure, 1.0 - volume / act.volume_limit));
  }
  return authority;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
