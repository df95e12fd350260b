// Circuits that share wheels' axles or an actuator, and valves per wheel. Kernel: included by engine
// translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/hydraulics.inl.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

// Fluid of a step, m^3.
template <class Real>
struct WheelFlows {
  Real in[signal::kWheels];   // into the caliper from the source; negative back to it
  Real out[signal::kWheels];  // into the return volume
};

// Volume that moves a caliper's pressure by `change`, at its present stiffness.
template <class Real>
BRAKEWARD_INLINE Real volume_for(Real change, const Caliper<Real>& c, const BrakeParams<Real>& b,
                                 const AxleConstants<Real>& k) {
  return change * c.root * c.give / (k.half_stiffness * (c.moved - b.clearance + c.root));
}

// The valves of a wheel open just as far as its caliper needs to get to the pressure they keep to, at most
// fully; the outlet only where the wheel is told less than its circuit. Towards a lower source the check
// valve beside the inlet is open. Without power the inlet is open and the outlet shut.
template <class Real>
BRAKEWARD_INLINE void pass_wheel(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                 const PlantStructure& st, Real source, Real command, Real of_circuit,
                                 Real unpowered, Real h, int w, HydraulicState<Real>& s,
                                 WheelFlows<Real>& flow) {
  const int a = signal::axle_of(w);
  const BrakeParams<Real>& b = car.brake[a];
  const Caliper<Real>& c = s.caliper[w];
  const Real drop = source - c.pressure;
  const Real open = pass_orifice(drop, h * b.flow_gain, b.laminar_pressure, c, b, k.axle[a], st.gas);
  flow.in[w] = open;
  flow.out[w] = Real(0.0);
  if (!st.wheel_valves) return;
  s.valve[w] = fma(k.valve_approach, command - s.valve[w], s.valve[w]);
  const auto keeps = unpowered < Real(0.5);
  const Real needed = volume_for(s.valve[w] - c.pressure, c, b, k.axle[a]);
  const Real vented =
      pass_orifice(c.pressure, h * car.wheel_valve.outlet_gain, b.laminar_pressure, c, b, k.axle[a], st.gas);
  flow.in[w] = select(keeps & (drop > Real(0.0)), clamp(needed, Real(0.0), open), open);
  flow.out[w] = select(keeps & (command < of_circuit), clamp(-needed, Real(0.0), vented), Real(0.0));
}

// What both circuits have to begin a step with.
template <class Real>
struct Supply {
  Source<Real> source[signal::kAxles];
  Real used[signal::kAxles];  // m^3 missing from the stroke
};

// Fluid in the calipers, lost through a hole, or let out and not yet pumped back is missing from the stroke.
template <class Real>
BRAKEWARD_INLINE Real missing(const PlantStructure& st, int c, const HydraulicState<Real>& s) {
  const Caliper<Real>& left = s.caliper[signal::wheel_of(st.diagonal, c, 0)];
  const Caliper<Real>& right = s.caliper[signal::wheel_of(st.diagonal, c, 1)];
  return left.volume + right.volume + s.leaked[c] + s.returned[c];
}

// Moves the actuators on. One that both circuits share sees the mean of all calipers and has the stroke for
// all of them.
template <class Real>
BRAKEWARD_INLINE Supply<Real> move_actuators(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                             const PlantStructure& st, const Real (&command)[signal::kAxles],
                                             HydraulicState<Real>& s, Authority<Real>& authority) {
  Supply<Real> out;
  Real mean[signal::kAxles];
  for (int c = 0; c < signal::kAxles; ++c) {
    out.used[c] = missing(st, c, s);
    mean[c] = 0.5 * (s.caliper[signal::wheel_of(st.diagonal, c, 0)].pressure +
                     s.caliper[signal::wheel_of(st.diagonal, c, 1)].pressure);
  }
  if (st.shared_actuator) mean[0] = 0.5 * (mean[0] + mean[1]);
  for (int c = 0; c < signal::kAxles; ++c) {
    if (st.shared_actuator && c > 0) {
      out.source[c] = out.source[0];
      s.actuator[c] = s.actuator[0];
      continue;
    }
    out.source[c] = actuator_source(car.actuator[c], k.axle[c], st.actuator_varies, s.feed[c], command[c],
                                    s.actuator[c].pressure);
    out.source[c].delivery = delivery_of(k.axle[c], st.actuator_varies, s.feed[c], mean[c]);
    const Real used = st.shared_actuator ? out.used[0] + out.used[1] : out.used[c];
    const Real pressure_left = fma(-k.axle[c].per_stall, command[c], s.feed[c].strength);
    const Real volume_left = fma(-k.axle[c].per_volume_limit, used, Real(1.0));
    authority.margin = min(authority.margin, min(pressure_left, volume_left));
  }
  return out;
}

// The share of what its wheels would take that a source gives; marks a bound by flow.
template <class Real>
BRAKEWARD_INLINE Real share_of(const Source<Real>& source, Real used, Real wanted, Real& saturated) {
  const Real room = max(Real(0.0), source.stroke - used);
  const Real bound = min(source.delivery, room);
  const auto bounded = wanted > bound;
  saturated = select(bounded & (source.delivery < room), Real(1.0), Real(0.0));
  return select(bounded, bound / select(bounded, wanted, Real(1.0)), Real(1.0));
}

// A shared actuator gives to both circuits what it can give to all; the foot has a stroke for each.
template <class Real>
BRAKEWARD_INLINE void share_out(const PlantStructure& st, const HydraulicState<Real>& s,
                                const Supply<Real>& supply, const Source<Real>& actuator,
                                WheelFlows<Real>& flow, Authority<Real>& authority) {
  Real wanted[signal::kAxles];
  for (int c = 0; c < signal::kAxles; ++c)
    wanted[c] = flow.in[signal::wheel_of(st.diagonal, c, 0)] + flow.in[signal::wheel_of(st.diagonal, c, 1)];
  Real of_all = Real(1.0), flow_of_all = Real(0.0);
  if (st.shared_actuator)
    of_all = share_of(actuator, supply.used[0] + supply.used[1], wanted[0] + wanted[1], flow_of_all);
  for (int c = 0; c < signal::kAxles; ++c) {
    Real saturated;
    Real share = share_of(supply.source[c], supply.used[c], wanted[c], saturated);
    if (st.shared_actuator) {
      const auto by_foot = s.feed[c].pedal_open > Real(0.5);
      share = select(by_foot, share, of_all);
      saturated = select(by_foot, saturated, flow_of_all);
    }
    authority.saturated = max(authority.saturated, saturated);
    for (int i = 0; i < 2; ++i) {
      Real& in = flow.in[signal::wheel_of(st.diagonal, c, i)];
      in = select(in > Real(0.0), share * in, in);
    }
  }
}

// Fills the calipers of a circuit. Its outlets share what the return volume has room for while a pump empties
// it.
template <class Real>
BRAKEWARD_INLINE void settle(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                             const PlantStructure& st, Real command, Real hole, Real h, int c,
                             WheelFlows<Real>& flow, HydraulicState<Real>& s) {
  const int wheel[] = {signal::wheel_of(st.diagonal, c, 0), signal::wheel_of(st.diagonal, c, 1)};
  if (st.wheel_valves) {
    const WheelValveParams<Real>& v = car.wheel_valve;
    const Real kept = max(Real(0.0), fma(-h, v.return_flow, s.returned[c]));
    hold_to<1>(max(Real(0.0), v.return_volume - kept), flow.out[wheel[0]], flow.out[wheel[1]]);
    s.returned[c] = kept + (flow.out[wheel[0]] + flow.out[wheel[1]]);
  }
  Real lost_by_both = Real(0.0), pressures = Real(0.0);
  for (const int w : wheel) {
    const int a = signal::axle_of(w);
    Caliper<Real>& caliper = s.caliper[w];
    pressures = pressures + caliper.pressure;
    Real lost = Real(0.0);
    if (st.leaks)
      lost = pass_orifice(caliper.pressure, 0.5 * h * hole, car.brake[a].laminar_pressure, caliper,
                          car.brake[a], k.axle[a], st.gas);
    lost_by_both = lost_by_both + lost;
    const Real volume = caliper.volume + (flow.in[w] - flow.out[w] - lost);
    caliper = filled(car.brake[a], k.axle[a], st.gas, s.gas[w], max(min(Real(0.0), caliper.volume), volume),
                     caliper.moved);
  }
  if (st.leaks) add_leak(command, pressures, lost_by_both, s.leaked[c]);
}

// A step of both circuits in any layout. A shared actuator follows the higher command.
template <class Real>
BRAKEWARD_INLINE Authority<Real> step_modulator(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                                const PlantStructure& st,
                                                const signal::ActuatorCommand<Real>& command,
                                                const signal::FaultEffects<Real>& fault, Real h,
                                                HydraulicState<Real>& s) {
  Authority<Real> authority{Real(1.0), Real(0.0)};
  Real told[] = {command.pressure[0], command.pressure[1]};
  if (st.shared_actuator) told[0] = told[1] = max(told[0], told[1]);
  Supply<Real> supply = move_actuators(car, k, st, told, s, authority);
  const Source<Real> actuator = supply.source[0];
  WheelFlows<Real> flow;
  for (int c = 0; c < signal::kAxles; ++c) {
    if (st.pedal_path) feed_by_foot(car, s.feed[c], c, supply.source[c]);
    for (int i = 0; i < 2; ++i) {
      const int w = signal::wheel_of(st.diagonal, c, i);
      pass_wheel(car, k, st, supply.source[c].pressure, command.wheel_pressure[w], told[c],
                 s.feed[c].pedal_open, h, w, s, flow);
    }
  }
  share_out(st, s, supply, actuator, flow, authority);
  for (int c = 0; c < signal::kAxles; ++c) settle(car, k, st, told[c], fault.leak[c], h, c, flow, s);
  return authority;
}

template <class Real>
BRAKEWARD_INLINE Authority<Real> step_hydraulics(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                                 const PlantStructure& st,
                                                 const signal::ActuatorCommand<Real>& command,
                                                 const signal::FaultEffects<Real>& fault, Real h,
                                                 HydraulicState<Real>& s) {
  return st.is_plain() ? step_circuits(car, k, st, command.pressure, fault, h, s)
                       : step_modulator(car, k, st, command, fault, h, s);
}

// What the sensor of a circuit is at where circuit and axle are not the same: its higher caliper, or the
// highest of all behind a shared actuator, as of wheels with valves at least one is open to the line.
template <class Real>
BRAKEWARD_INLINE Real line_pressure(const PlantStructure& st, int c, const HydraulicState<Real>& s) {
  const Real left = s.caliper[signal::wheel_of(st.diagonal, c, 0)].pressure;
  const Real right = s.caliper[signal::wheel_of(st.diagonal, c, 1)].pressure;
  if (!st.shared_actuator) return max(left, right);
  const Caliper<Real>* wheel = s.caliper;
  return max(max(wheel[0].pressure, wheel[1].pressure), max(wheel[2].pressure, wheel[3].pressure));
}

// Against the simulator while the by-wire unit has power; without, as far as the fluid in the circuits needs,
// all of it pushed by the foot: the balance bar's pivot moves by its clevises' strokes in the shares in which
// they take the force (virtual work).
template <class Real>
BRAKEWARD_INLINE Real pedal_travel(const PlantParams<Real>& car, const PlantStructure& st, Real force,
                                   const HydraulicState<Real>& s) {
  Real pushed = Real(0.0);
  for (int c = 0; c < signal::kAxles; ++c)
    pushed = fma(car.pedal_path.travel_per_volume[c], missing(st, c, s), pushed);
  const Real felt = evaluate(car.pedal_path.simulator, st.simulator_segments, max(Real(0.0), force));
  return select(s.feed[signal::kFront].pedal_open > Real(0.5), pushed, felt);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
