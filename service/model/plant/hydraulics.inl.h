// Lines and circuits of an axle each. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/actuator.inl.h"
#include "model/plant/caliper.inl.h"
#include "model/plant/constants.inl.h"
#include "model/plant/params.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct HydraulicState {
  Caliper<Real> caliper[signal::kWheels];
  ActuatorState<Real> actuator[signal::kAxles];
  Feed<Real> feed[signal::kAxles];
  Real leaked[signal::kAxles];       // m^3 since the circuit was last released
  Real gas[signal::kWheels];         // m^3 of air and vapour at the air's pressure
  Real knock_back[signal::kWheels];  // m^3 still to come
  Real valve[signal::kWheels];       // Pa the wheel's valves keep to, where there are some
  Real returned[signal::kAxles];     // m^3 let out by the valves and not yet pumped back
};

template <class Real>
inline void start(const PlantParams<Real>& car, const PlantConstants<Real>& k, HydraulicState<Real>& s) {
  for (int a = 0; a < signal::kAxles; ++a) {
    s.actuator[a] = {Real(0.0), car.actuator[a].start_winding, Real(0.0)};
    s.feed[a] = full_strength<Real>();
    s.leaked[a] = s.returned[a] = Real(0.0);
  }
  for (int w = 0; w < signal::kWheels; ++w) {
    s.caliper[w] = caliper_at(car.brake[signal::axle_of(w)], k.axle[signal::axle_of(w)], Real(0.0));
    s.gas[w] = car.caliper_air[w];
    s.knock_back[w] = car.knock_back[w];
    s.valve[w] = Real(0.0);
  }
}

// What was left of the actuators during a step.
template <class Real>
struct Authority {
  Real margin;     // 1, least of 1 - p/stall and 1 - V/V_max over both circuits
  Real saturated;  // 1 while a flow limit acts
};

// Volume that passes an orifice into a caliper in a step. Orifice law with a laminar part, Q = G dp /
// sqrt(|dp| + p_lam) (turbulent branch: Q = C_d A sqrt(2 dp/rho), Bernoulli), linearised in the caliper's
// stiffness dp/dV = K/2 (1 + u/root) and stepped implicitly, since the line has no node of its own.
// `conductance` is G times the step.
template <class Real>
BRAKEWARD_INLINE Real pass_orifice(Real drop, Real conductance, Real laminar, const Caliper<Real>& c,
                                   const BrakeParams<Real>& b, const AxleConstants<Real>& k, bool gas) {
  const Real resistance = sqrt(abs(drop) + laminar);
  const Real bend = c.moved - b.clearance + c.root;
  const Real root = gas ? c.root * c.give : c.root;
  return conductance * drop * root / fma(resistance, root, conductance * k.half_stiffness * bend);
}

// What an actuator can deliver in a step into calipers at `pressure`: its flow falls linearly to nothing at
// stall, Q = Q_0 (s - p_out / p_stall), and both lines together need p_out = p + (Q / 2G)^2. With b = s - p /
// p_stall, Q = 2 b Q_0 / (1 + sqrt(1 + 4 b (Q_0 / 2G)^2 / p_stall)).
template <class Real>
BRAKEWARD_INLINE Real deliver(const AxleConstants<Real>& k, Real strength, Real pressure) {
  const Real left = max(Real(0.0), fma(-k.per_stall, pressure, strength));
  return 2.0 * k.volume_a_step * left / (1.0 + sqrt(fma(k.throttle, left, Real(1.0))));
}

// Whether an actuator surely delivers `wanted`, seen without a root and a division: sqrt(1 + x) <= 1 + x / 2,
// and 1 % to spare for rounding.
template <class Real>
BRAKEWARD_INLINE Mask<Real> delivers(const AxleConstants<Real>& k, Real strength, Real pressure,
                                     Real wanted) {
  const Real left = max(Real(0.0), fma(-k.per_stall, pressure, strength));
  return wanted * fma(0.505 * k.throttle, left, Real(2.02)) <= 2.0 * k.volume_a_step * left;
}

// What stands behind the lines of a circuit in a step.
template <class Real>
struct Source {
  Real pressure;  // Pa
  Real delivery;  // m^3, at most
  Real stroke;    // m^3, all there is
};

inline constexpr double kAnyDelivery = 1.0;  // m^3 a step: no bound but the stroke

// Moves the actuator on; what it delivers is for the caller to say. `varies`: its feed may be less than full.
template <class Real>
BRAKEWARD_INLINE Source<Real> actuator_source(const ActuatorParams<Real>& act, const AxleConstants<Real>& k,
                                              bool varies, const Feed<Real>& feed, Real command,
                                              Real& behind) {
  const Real wanted = min(command, act.stall_pressure * feed.strength);
  behind = fma(varies ? k.approach * feed.response : k.approach, wanted - behind, behind);
  return {behind, Real(kAnyDelivery), act.volume_limit};
}

// What it delivers at most into calipers at `pressure`.
template <class Real>
BRAKEWARD_INLINE Real delivery_of(const AxleConstants<Real>& k, bool varies, const Feed<Real>& feed,
                                  Real pressure) {
  const Real delivery = deliver(k, feed.strength, pressure);
  return varies ? feed.flow * delivery : delivery;
}

// The foot in place of the actuator, where the isolation valves are open.
template <class Real>
BRAKEWARD_INLINE void feed_by_foot(const PlantParams<Real>& car, const Feed<Real>& feed, int a,
                                   Source<Real>& out) {
  const auto by_foot = feed.pedal_open > Real(0.5);
  out.pressure = select(by_foot, feed.pedal_pressure, out.pressure);
  out.delivery = select(by_foot, Real(kAnyDelivery), out.delivery);
  out.stroke = select(by_foot, car.pedal_path.volume_limit[a], out.stroke);
}

// What a circuit loses is missing from the stroke until it is released and filled up from the reservoir.
template <class Real>
BRAKEWARD_INLINE void add_leak(Real command, Real pressures, Real lost, Real& leaked) {
  const auto released = (command <= Real(0.0)) & (pressures < Real(1e5));
  leaked = select(released, Real(0.0), leaked + lost);
}

// Leaves a circuit through its hole.
template <int kStride, class Real>
BRAKEWARD_INLINE void leak(const BrakeParams<Real>& b, const AxleConstants<Real>& k, const PlantStructure& st,
                           Real hole, Real command, Real h, int a, HydraulicState<Real>& s,
                           Real (&inflow)[signal::kWheels]) {
  Real lost = Real(0.0), pressure = Real(0.0);
  for (int w = 2 * a; w < 2 * a + 2; w += kStride) {
    const Real out =
        pass_orifice(s.caliper[w].pressure, 0.5 * h * hole, b.laminar_pressure, s.caliper[w], b, k, st.gas);
    inflow[w] = inflow[w] - out;
    lost = lost + Real(double(kStride)) * out;
    pressure = pressure + s.caliper[w].pressure;
  }
  add_leak(command, pressure, lost, s.leaked[a]);
}

// Holds the inflow of both calipers together to `bound`, in proportion.
template <int kStride, class Real>
BRAKEWARD_INLINE Mask<Real> hold_to(Real bound, Real& left, Real& right) {
  const Real all = kStride == 2 ? 2.0 * left : left + right;
  const auto bounded = all > bound;
  if (kStride == 2) {
    left = min(left, 0.5 * bound);
    return bounded;
  }
  const Real share = select(bounded, bound / select(bounded, all, Real(1.0)), Real(1.0));
  left = share * left;
  right = share * right;
  return bounded;
}

// One step of a circuit. Its inflow is bounded by what stands behind it delivers and by the volume left in
// the stroke. With a stride of two the calipers of the axle are alike and one stands for both.
template <int kStride, class Real>
BRAKEWARD_INLINE void step_circuit(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                   const PlantStructure& st, Real command,
                                   const signal::FaultEffects<Real>& fault, Real h, int a,
                                   HydraulicState<Real>& s, Authority<Real>& authority) {
  const BrakeParams<Real>& b = car.brake[a];
  const AxleConstants<Real>& ka = k.axle[a];
  Caliper<Real>* c = s.caliper;
  const int l = 2 * a, r = 2 * a + 1;
  const Real mean = kStride == 2 ? c[l].pressure : 0.5 * (c[l].pressure + c[r].pressure);
  const Real held = kStride == 2 ? 2.0 * c[l].volume : c[l].volume + c[r].volume;
  const Real used = held + s.leaked[a];
  Source<Real> source =
      actuator_source(car.actuator[a], ka, st.actuator_varies, s.feed[a], command, s.actuator[a].pressure);
  if (st.actuator_varies) source.delivery = delivery_of(ka, true, s.feed[a], mean);
  if (st.pedal_path) feed_by_foot(car, s.feed[a], a, source);
  const Real room = max(Real(0.0), source.stroke - used);
  Real inflow[signal::kWheels];
  for (int w = l; w <= r; w += kStride)
    inflow[w] = pass_orifice(source.pressure - c[w].pressure, h * b.flow_gain, b.laminar_pressure, c[w], b,
                             ka, st.gas);
  const Real wanted = kStride == 2 ? 2.0 * inflow[l] : inflow[l] + inflow[r];
  if (!st.actuator_varies && !all(delivers(ka, s.feed[a].strength, mean, wanted)))
    source.delivery = delivery_of(ka, false, s.feed[a], mean);
  const auto bounded = hold_to<kStride>(min(source.delivery, room), inflow[l], inflow[r]);
  authority.saturated = select(bounded & (source.delivery < room), Real(1.0), authority.saturated);
  const Real pressure_left = fma(-ka.per_stall, command, s.feed[a].strength);
  const Real volume_left = fma(-ka.per_volume_limit, used, Real(1.0));
  authority.margin = min(authority.margin, min(pressure_left, volume_left));
  if (st.leaks) leak<kStride>(b, ka, st, fault.leak[a], command, h, a, s, inflow);
  for (int w = l; w <= r; w += kStride) {
    const Real volume = max(min(Real(0.0), c[w].volume), c[w].volume + inflow[w]);
    c[w] = filled(b, ka, st.gas, s.gas[w], volume, c[w].moved);
  }
  if (kStride == 2) c[r] = c[l];
}

// Circuits of an axle each, with an actuator each and no valves per wheel.
template <class Real>
BRAKEWARD_INLINE Authority<Real> step_circuits(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                               const PlantStructure& st,
                                               const Real (&command)[signal::kAxles],
                                               const signal::FaultEffects<Real>& fault, Real h,
                                               HydraulicState<Real>& s) {
  Authority<Real> authority{Real(1.0), Real(0.0)};
  for (int a = 0; a < signal::kAxles; ++a) {
    if (st.wheels_apart)
      step_circuit<1>(car, k, st, command[a], fault, h, a, s, authority);
    else
      step_circuit<2>(car, k, st, command[a], fault, h, a, s, authority);
  }
  return authority;
}

// Before the substeps of a tick: what feeds the circuits, and pads that are knocked back, as soon as their
// brake is released.
template <class Real>
BRAKEWARD_INLINE void prepare_hydraulics(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                         const PlantStructure& st, const signal::FaultEffects<Real>& fault,
                                         Real pedal_force, HydraulicState<Real>& s) {
  if (st.actuator_varies) {
    for (int a = 0; a < signal::kAxles; ++a)
      s.feed[a] = feed_circuit(car, k.axle[a], st, fault, pedal_force, a, s.actuator[a]);
    if (st.shared_actuator) {
      s.feed[signal::kRear].strength = s.feed[signal::kFront].strength;
      s.feed[signal::kRear].pedal_open = s.feed[signal::kFront].pedal_open;
    }
  }
  if (!st.disturbed) return;
  for (int w = 0; w < signal::kWheels; ++w) {
    const int a = signal::axle_of(w);
    const auto waits = (fault.knock_due[w] > Real(0.5)) & (s.knock_back[w] > Real(0.0));
    const auto now = waits & (s.caliper[w].pressure < Real(0.5e5));
    if (!any(now)) continue;
    Caliper<Real>& c = s.caliper[w];
    const Real volume = min(Real(0.0), c.volume) - s.knock_back[w];
    const Caliper<Real> knocked = filled(car.brake[a], k.axle[a], st.gas, s.gas[w], volume, c.moved);
    c = {select(now, knocked.volume, c.volume), select(now, knocked.moved, c.moved),
         select(now, knocked.root, c.root), select(now, knocked.pressure, c.pressure),
         select(now, knocked.give, c.give)};
    s.knock_back[w] = select(now, Real(0.0), s.knock_back[w]);
  }
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
