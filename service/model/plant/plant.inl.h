// The car: body, wheels, brakes, heat. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/bumps.inl.h"
#include "model/plant/constants.inl.h"
#include "model/plant/differential.inl.h"
#include "model/plant/heat.inl.h"
#include "model/plant/loads.inl.h"
#include "model/plant/modulator.inl.h"
#include "model/plant/motor.inl.h"
#include "model/plant/pads.inl.h"
#include "model/plant/params.h"
#include "model/plant/road.inl.h"
#include "model/plant/structure.h"
#include "model/plant/tyre.inl.h"
#include "signal/ports.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct PlantState {
  Real distance;                      // m
  Real speed;                         // m/s
  Real speed_change;                  // m/s, in the step before
  Real wheel_speed[signal::kWheels];  // rad/s
  Real slip[signal::kWheels];         // 1, positive when driving
  Real slip_change[signal::kWheels];  // 1, in the step before
  HeatState<Real> heat[signal::kWheels];
  PadState<Real> pad[signal::kWheels];
  Real vapour[signal::kWheels];  // m^3 at the air's pressure
  int ticks_unheated;            // since the heat moved on
  Real transfer;                 // N, load moved to the front axle
  Real transfer_rate;            // N/s
  HydraulicState<Real> hydraulics;
  BumpState<Real> bumps[signal::kWheels];  // moved only where the road has bumps
  MotorState<Real> motors;                 // moved only where there are some
};

template <class Real>
inline void start(const PlantParams<Real>& car, const PlantConstants<Real>& k, PlantState<Real>& s) {
  s.distance = Real(0.0);
  s.speed = car.start_speed;
  s.speed_change = Real(0.0);
  s.transfer = Real(0.0);
  s.transfer_rate = Real(0.0);
  for (int w = 0; w < signal::kWheels; ++w) {
    s.wheel_speed[w] = car.start_speed / car.tyre[signal::axle_of(w)].radius;
    s.slip[w] = s.slip_change[w] = Real(0.0);
    start_heat(car.start_disc[signal::axle_of(w)], car.start_fluid[signal::axle_of(w)], car.ambient,
               s.heat[w]);
    s.pad[w] = {Real(0.0), car.brake[signal::axle_of(w)].pad_lack, Real(0.0)};
    s.vapour[w] = Real(0.0);
  }
  s.ticks_unheated = 0;
  start_bumps(car, s.bumps);
  start_motors(car, s.motors);
  start(car, k, s.hydraulics);
}

inline constexpr double kDampingFadeSpeed = 2.0;  // m/s, above it the low-speed slip damping is off

template <class Real>
struct WheelTorques {
  Real brake[signal::kWheels];  // N m, dry friction at the disc
  Real drive[signal::kAxles];   // N m, at each wheel of the axle
};

// With a stride of two the left wheels stand for both of their axle, here and below.
template <int kStride = 1, class Real>
BRAKEWARD_INLINE WheelTorques<Real> wheel_torques(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                                  const PlantStructure& st,
                                                  const Real (&pressure)[signal::kWheels],
                                                  const signal::DriverInput<Real>& driver,
                                                  PlantState<Real>& s) {
  WheelTorques<Real> t;
  const Real fade = clamp(s.speed * k.per_braking_fade, Real(0.0), Real(1.0));
  const Real engine = driver.coasting * car.engine_braking * fade;
  for (int a = 0; a < signal::kAxles; ++a) {
    for (int w = 2 * a; w < 2 * a + 2; w += kStride)
      t.brake[w] = brake_torque(car.brake[a], st, pressure[w], s.wheel_speed[w],
                                s.heat[w].node[HeatChain<>::kFace], s.pad[w]);
    t.drive[a] = car.driven_share[a] * fma(driver.traction, car.tyre[a].radius, -engine);
  }
  return t;
}

// Where a step is likely to be halfway: the step before went on.
template <class Real>
struct Midway {
  Real speed, transfer;
  Real slip[signal::kWheels];
};

template <int kStride = 1, class Real>
BRAKEWARD_INLINE Midway<Real> foresee(const PlantState<Real>& s, Real h) {
  Midway<Real> mid;
  mid.speed = fma(Real(0.5), s.speed_change, s.speed);
  mid.transfer = fma(0.5 * h, s.transfer_rate, s.transfer);
  for (int w = 0; w < signal::kWheels; w += kStride)
    mid.slip[w] = clamp(fma(Real(0.5), s.slip_change[w], s.slip[w]), Real(-1.0), Real(1.0));
  return mid;
}

// Wheel speeds and slips solved together by the implicit midpoint rule, with the tyres' secant stiffness S at
// the slip foreseen for midway:
//   sigma a dk/dt + |v| k = w r - v,   J dw/dt = T_drive - r F - T_dry sign(w),   F = S (k + g (w r - v)).
// a = S / K shortens the relaxation length as the tyre slides: the carcass deflects with the force, so that
// beyond the peak there is next to no deflection left to build up (Pacejka 2006, chapter 7, from memory, with
// the tangent of the force; the secant serves here because it stays positive). g fades in below 2 m/s, where
// the slip equation has no damping left; in proportion to S, it is the tyre's whole damping while it grips
// and next to nothing while it slides, where friction bounds the force. The dry friction (brake and rolling
// resistance) can stop and hold a wheel but never turn it backwards, that of a limited-slip differential only
// hold its wheels together. Gives the contact forces; adds up the friction work. Stage by stage over the
// wheels, like the tyres.
template <int kStride = 1, class Real>
BRAKEWARD_INLINE void step_wheels(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                  const PlantStructure& st, const TyreForces<Real>& tyre,
                                  const Real (&load)[signal::kWheels], const WheelTorques<Real>& torque,
                                  Real v, Real h, PlantState<Real>& s, Real (&contact)[signal::kWheels]) {
  constexpr int n = signal::kWheels;
  const Real half = 0.5 * h;
  const Real v_abs = abs(v);
  const Real slow = max(Real(0.0), fma(v_abs, Real(-1.0 / kDampingFadeSpeed), Real(1.0)));
  Real damping[signal::kAxles];
  for (int a = 0; a < signal::kAxles; ++a) damping[a] = k.axle[a].damping * slow;
  Real slip_per_speed[n], slip_at_lock[n], inertia[n], momentum[n], dry[n], mid[n];
  for (int w = 0; w < n; w += kStride) {
    const int a = signal::axle_of(w);
    const TyreParams<Real>& t = car.tyre[a];
    const Real lever = half * t.radius * tyre.stiffness[w];
    const Real relaxation = t.relaxation * tyre.adhesion[w];
    const Real per_reach = 1.0 / fma(half, v_abs, relaxation);
    slip_per_speed[w] = half * t.radius * per_reach;
    slip_at_lock[w] = fma(relaxation, s.slip[w], -half * v) * per_reach;
    inertia[w] = fma(lever, fma(damping[a], t.radius, slip_per_speed[w]), t.inertia);
    const Real pull = fma(damping[a], v, -slip_at_lock[w]);
    momentum[w] = fma(t.inertia, s.wheel_speed[w], fma(lever, pull, half * torque.drive[a]));
    dry[w] = half * fma(t.rolling * load[w], t.radius, torque.brake[w]);
  }
  for (int a = 0; a < signal::kAxles; ++a)
    if (kStride == 1 && (a == signal::kFront ? st.front_locks : st.rear_locks))
      hold_together(half * locking_torque(car.differential[a], torque.drive[a]), inertia + 2 * a, dry + 2 * a,
                    momentum + 2 * a);
  for (int w = 0; w < n; w += kStride) {
    const Real kept = max(Real(0.0), abs(momentum[w]) - dry[w]);
    mid[w] = copy_sign(kept, momentum[w]) / inertia[w];
  }
  for (int w = 0; w < n; w += kStride) {
    const int a = signal::axle_of(w);
    const Real slip = fma(slip_per_speed[w], mid[w], slip_at_lock[w]);
    contact[w] = tyre.stiffness[w] * fma(damping[a], fma(mid[w], car.tyre[a].radius, -v), slip);
    const Real end = fma(Real(2.0), mid[w], -s.wheel_speed[w]);
    s.wheel_speed[w] = select(end * mid[w] > Real(0.0), end, Real(0.0));
    const Real slip_end = clamp(fma(Real(2.0), slip, -s.slip[w]), Real(-1.0), Real(1.0));
    s.slip_change[w] = slip_end - s.slip[w];
    s.slip[w] = slip_end;
    s.heat[w].energy = fma(h * torque.brake[w], abs(mid[w]), s.heat[w].energy);
  }
}

// Body and load transfer. Moments about the rear contact: the front axle gains (-h F_x + (h - h_drag) D) / L,
// reached through a second-order pitch lag; m dv/dt = F_x - D - m g sin(grade). `v` is the speed midway.
template <class Real>
BRAKEWARD_INLINE void step_body(const PlantParams<Real>& car, const PlantConstants<Real>& k, Real contact,
                                Real along, Real v, Real h, PlantState<Real>& s) {
  const Real drag = car.drag * v * abs(v);
  const Real moment = fma(car.cog_height - car.drag_height, drag, -car.cog_height * contact);
  const Real pull = k.pitch_stiffness * fma(moment, k.per_wheelbase, -s.transfer);
  s.transfer_rate = fma(h, pull, s.transfer_rate) * k.pitch_decay;
  s.transfer = fma(h, s.transfer_rate, s.transfer);
  const Real before = s.speed;
  s.speed_change = h * fma(contact - drag, k.per_mass, -kGravity * along);
  s.speed = before + s.speed_change;
  s.distance = fma(0.5 * h, before + s.speed, s.distance);
}

// Every heat_ticks ticks. The friction face and with it the pads' friction change little within a few
// milliseconds; a step every tick would cost a quarter of the whole engine.
template <int kStride = 1, class Real>
BRAKEWARD_INLINE void move_heat(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                const PlantStructure& st, PlantState<Real>& s) {
  if (++s.ticks_unheated < st.heat_ticks) return;
  s.ticks_unheated = 0;
  if (st.pads_lack || st.wear_segments > 0)
    for (int w = 0; w < signal::kWheels; w += kStride)
      rub(car.brake[signal::axle_of(w)], st, s.heat[w].energy, s.heat[w].node[HeatChain<>::kFace], s.pad[w]);
  for (int a = 0; a < signal::kAxles; ++a)
    step_heat<2 / kStride>(car.brake[a].heat, k.axle[a].heat, s.speed, car.ambient, s.heat + 2 * a);
  if (kStride == 2)
    for (int w = 1; w < signal::kWheels; w += kStride) {
      s.heat[w] = s.heat[w - 1];
      s.pad[w] = s.pad[w - 1];
    }
  if (!st.gas) return;
  for (int w = 0; w < signal::kWheels; ++w) {
    const int a = signal::axle_of(w);
    const Real fluid = s.heat[w].node[HeatChain<>::kFluid];
    s.vapour[w] = vapour_after(car.brake[a], fluid, s.hydraulics.caliper[w].pressure,
                               Real(st.heat_ticks * st.tick_s), s.vapour[w]);
    s.hydraulics.gas[w] = warmed_air(car.caliper_air[w], car.start_fluid[a], fluid) + s.vapour[w];
  }
}

template <class Real>
BRAKEWARD_INLINE void show(const PlantStructure& st, const signal::DriverInput<Real>& driver,
                           const PlantState<Real>& s, signal::PlantSignals<Real>& out) {
  for (int a = 0; a < signal::kAxles; ++a) {
    const Caliper<Real>* c = s.hydraulics.caliper + 2 * a;
    out.pressure[a] = st.pressure_entry ? driver.line_pressure[a] : 0.5 * (c[0].pressure + c[1].pressure);
    out.line_pressure[a] = st.is_plain() ? out.pressure[a] : line_pressure(st, a, s.hydraulics);
    out.winding[a] = s.hydraulics.actuator[a].winding;
  }
  for (int w = 0; w < signal::kWheels; ++w) {
    out.wheel_speed[w] = s.wheel_speed[w];
    out.brake_slip[w] = -s.slip[w];
    out.disc[w] = s.heat[w].node[HeatChain<>::kFace];
    out.fluid[w] = s.heat[w].node[HeatChain<>::kFluid];
    out.gas[w] = s.hydraulics.gas[w];
    out.pad_worn[w] = s.pad[w].worn;
  }
}

template <class Real>
BRAKEWARD_INLINE void mirror(WheelTorques<Real>& torque, PlantState<Real>& s,
                             Real (&contact)[signal::kWheels]) {
  for (int w = 1; w < signal::kWheels; w += 2) {
    torque.brake[w] = torque.brake[w - 1];
    s.wheel_speed[w] = s.wheel_speed[w - 1];
    s.slip[w] = s.slip[w - 1];
    s.slip_change[w] = s.slip_change[w - 1];
    contact[w] = contact[w - 1];
  }
}

template <int kStride, class Real>
BRAKEWARD_INLINE void step_once(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                const PlantStructure& st, const signal::DriverInput<Real>& driver,
                                const signal::ActuatorCommand<Real>& command,
                                const signal::FaultEffects<Real>& fault, Real h, PlantState<Real>& s,
                                Authority<Real>& authority, signal::PlantSignals<Real>& out) {
  const Road<Real> road = road_at<kStride>(car, st, s.distance);
  const Midway<Real> mid = foresee<kStride>(s, h);
  WheelLoads<Real> loads = wheel_loads(car, k, st, mid.speed, mid.transfer, road);
  if (st.bumps) step_bumps(car, k, st, fma(0.5 * h, s.speed, s.distance), h, s.bumps, loads);
  Real pressure[signal::kWheels] = {};
  if (st.pressure_entry) {
    for (int w = 0; w < signal::kWheels; ++w) pressure[w] = driver.line_pressure[signal::axle_of(w)];
  } else {
    for (int w = 0; w < signal::kWheels; ++w) pressure[w] = s.hydraulics.caliper[w].pressure;
    const Authority<Real> left = step_hydraulics(car, k, st, command, fault, h, s.hydraulics);
    authority.margin = min(authority.margin, left.margin);
    authority.saturated = max(authority.saturated, left.saturated);
    for (int w = 0; w < signal::kWheels; ++w)
      pressure[w] = 0.5 * (pressure[w] + s.hydraulics.caliper[w].pressure);
  }
  WheelTorques<Real> torque = wheel_torques<kStride>(car, k, st, pressure, driver, s);
  Real turning[signal::kAxles] = {};
  if (st.motors) {
    for (int a = 0; a < signal::kAxles; ++a) turning[a] = motor_speed(s.wheel_speed, a);
    turn_motors(car, k, st, command.motor_torque, driver.coasting, mid.speed, turning, s.motors);
    for (int a = 0; a < signal::kAxles; ++a)
      torque.drive[a] = fma(Real(0.5), s.motors.torque[a], torque.drive[a]);
  }
  const TyreForces<Real> tyre = tyre_forces<kStride>(car, k, st, mid.slip, loads, road.friction);
  Real(&contact)[signal::kWheels] = out.contact_force;
  step_wheels<kStride>(car, k, st, tyre, loads.load, torque, mid.speed, h, s, contact);
  if (kStride == 2) mirror(torque, s, contact);
  if (st.motors) charge_battery(car, turning, s.wheel_speed, h, s.motors);
  const Real front = contact[0] + contact[1];
  step_body(car, k, front + (contact[2] + contact[3]), road.along, mid.speed, h, s);
  for (int w = 0; w < signal::kWheels; ++w) {
    out.brake_torque[w] = torque.brake[w];
    out.wheel_load[w] = loads.load[w];
  }
  out.grip = kStride == 2 ? 2.0 * (tyre.grip[0] + tyre.grip[2])
                          : (tyre.grip[0] + tyre.grip[1]) + (tyre.grip[2] + tyre.grip[3]);
  out.beyond_peak = Real(0.0);
  for (int w = 0; w < signal::kWheels; w += kStride)
    out.beyond_peak = select(tyre.beyond[w], Real(1.0), out.beyond_peak);
  const Unmet<Real> unmet = unmet_by(car, st, loads, tyre, contact);
  out.lateral_unmet = unmet.force;
  out.yaw_unmet = unmet.moment;
}

// One controller tick: the substeps, the heat, then what can be seen.
template <class Real>
BRAKEWARD_INLINE void step_plant(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                 const PlantStructure& st, const signal::DriverInput<Real>& driver,
                                 const signal::ActuatorCommand<Real>& command,
                                 const signal::FaultEffects<Real>& fault, PlantState<Real>& s,
                                 signal::PlantSignals<Real>& out) {
  const Real h = Real(st.tick_s / st.substeps);
  const Real entry_speed = s.speed;
  Authority<Real> authority{Real(1.0), Real(0.0)};
  prepare_hydraulics(car, k, st, fault, driver.pedal_force, s.hydraulics);
  for (int i = 0; i < st.substeps; ++i) {
    if (st.sides_alike)
      step_once<2>(car, k, st, driver, command, fault, h, s, authority, out);
    else
      step_once<1>(car, k, st, driver, command, fault, h, s, authority, out);
  }
  if (st.sides_alike)
    move_heat<2>(car, k, st, s);
  else
    move_heat<1>(car, k, st, s);
  if (st.motors) {
    for (int a = 0; a < signal::kAxles; ++a) out.motor_torque[a] = s.motors.torque[a];
    out.battery_charge = s.motors.charge;
    out.energy_recovered = s.motors.recovered;
  }
  out.distance = s.distance;
  out.speed = s.speed;
  out.deceleration = (entry_speed - s.speed) * (1.0 / st.tick_s);
  out.authority_margin = authority.margin;
  out.flow_saturated = authority.saturated;
  if (st.pedal_path) out.pedal_travel = pedal_travel(car, st, driver.pedal_force, s.hydraulics);
  show(st, driver, s, out);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
