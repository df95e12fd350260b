// What supply, heat and faults leave of the actuators, and the pedal's way round them. Once a tick. Kernel:
// included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/constants.inl.h"
#include "model/plant/params.h"
#include "model/plant/structure.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct ActuatorState {
  Real pressure;  // Pa behind the line
  Real winding;   // degC
  Real unpowered_ticks;
};

// What feeds a circuit during a tick.
template <class Real>
struct Feed {
  Real strength;        // 1, of stall pressure and of flow limit
  Real response;        // 1, share of its way in a step
  Real flow;            // 1, share of what it would deliver
  Real pedal_open;      // 1 while the pedal feeds the circuit, else 0
  Real pedal_pressure;  // Pa
};

template <class Real>
BRAKEWARD_INLINE Feed<Real> full_strength() {
  return {Real(1.0), Real(1.0), Real(1.0), Real(0.0), Real(0.0)};
}

// An ideal motor with constant field gives stall torque and no-load speed in proportion to its voltage
// (textbook), so pressure and flow share one factor; heat takes from it linearly between two temperatures.
// The winding is one node, C dT/dt = P_stall (p / p_stall)^2 - G (T - T_air): torque goes with current and
// heat with its square. The isolation valves are open without power and need their time either way.
template <class Real>
BRAKEWARD_INLINE Feed<Real> feed_circuit(const PlantParams<Real>& car, const AxleConstants<Real>& k,
                                         const PlantStructure& st, const signal::FaultEffects<Real>& fault,
                                         Real pedal_force, int a, ActuatorState<Real>& s) {
  const ActuatorParams<Real>& act = car.actuator[a];
  const Real load = s.pressure * k.per_stall;
  const Real heat = fma(act.heat_at_stall * load, load, act.cooling * (car.ambient - s.winding));
  s.winding = fma(heat * Real(st.tick_s), act.per_heat_capacity, s.winding);
  const Real hot = max(Real(0.0), s.winding - act.derating_from);
  const Real derated = max(act.derated, fma(-act.derating_per_kelvin, hot, Real(1.0)));
  const Real supplied =
      select(act.per_nominal_supply > Real(0.0), fault.supply * act.per_nominal_supply, Real(1.0));
  const auto unpowered = (fault.dead[a] > Real(0.5)) | (fault.supply < car.pedal_path.drop_out);
  Feed<Real> out = full_strength<Real>();
  out.strength = select(unpowered, Real(0.0), derated * supplied);
  out.response = fault.response[a];
  out.flow = fault.flow[a];
  if (!st.pedal_path) return out;
  const Real counted = select(unpowered, s.unpowered_ticks + 1.0, s.unpowered_ticks - 1.0);
  s.unpowered_ticks = clamp(counted, Real(0.0), car.pedal_path.valve_ticks + 1.0);
  out.pedal_open = select(s.unpowered_ticks > car.pedal_path.valve_ticks, Real(1.0), Real(0.0));
  out.pedal_pressure = max(Real(0.0), pedal_force) * car.pedal_path.pressure_per_force[a];
  return out;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
