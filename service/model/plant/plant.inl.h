// The car: body, wheels, brakes, heat. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/hydraulics.inl.h"
#include "model/plant/params.h"
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
  Real wheel_speed[signal::kWheels];  // rad/s
  Real slip[signal::kWheels];         // 1, positive when driving
  Real disc[signal::kWheels];         // degC
  Real transfer;                      // N, load moved to the front axle
  Real transfer_rate;                 // N/s
  HydraulicState<Real> hydraulics;
};

template <class Real>
inline void start(const PlantParams<Real>& car, PlantState<Real>& s) {
  s.distance = Real(0.0);
  s.speed = car.start_speed;
  s.transfer = Real(0.0);
  s.transfer_rate = Real(0.0);
  for (int w = 0; w < signal::kWheels; ++w) {
    s.wheel_speed[w] = car.start_speed / car.tyre[signal::axle_of(w)].radius;
    s.slip[w] = Real(0.0);
    s.disc[w] = car.start_disc[signal::axle_of(w)];
    s.hydraulics.volume[w] = Real(0.0);
  }
  for (int a = 0; a < signal::kAxles; ++a) s.hydraulics.actuator[a] = Real(0.0);
}

inline constexpr double kGravity = 9.80665;       // m/s^2, standard gravity (ISO 80000-3)
inline constexpr double kDampingFadeSpeed = 2.0;  // m/s, above it the low-speed slip damping is off

template <class Real>
struct Road {
  Real friction[signal::kWheels];
  Real along, across;  // sine and cosine of the grade
};

template <class Real>
inline Road<Real> road_at(const PlantParams<Real>& car, const PlantStructure& st, Real distance) {
  Road<Real> r;
  const Real rear = distance - car.wheelbase;
  for (int side = 0; side < 2; ++side) {
    r.friction[side] = evaluate(car.road.friction[side], st.friction_segments, distance);
    r.friction[2 + side] = evaluate(car.road.friction[side], st.friction_segments, rear);
  }
  const Real grade = evaluate(car.road.grade, st.grade_segments, distance);
  r.across = 1.0 / sqrt(fma(grade, grade, Real(1.0)));
  r.along = grade * r.across;
  return r;
}

// Axle loads: static on the grade, longitudinal transfer, downforce; halved over the wheels, never below
// zero.
template <class Real>
inline void wheel_loads(const PlantParams<Real>& car, const PlantState<Real>& s, Real across,
                        Real (&load)[signal::kWheels]) {
  const Real weight = car.mass * kGravity * across;
  const Real square = s.speed * s.speed;
  const Real front = fma(weight, car.static_front, fma(square, car.downforce[signal::kFront], s.transfer));
  const Real rear =
      fma(weight, 1.0 - car.static_front, fma(square, car.downforce[signal::kRear], -s.transfer));
  load[0] = load[1] = max(Real(0.0), 0.5 * front);
  load[2] = load[3] = max(Real(0.0), 0.5 * rear);
}

template <class Real>
struct WheelTorques {
  Real brake[signal::kWheels];  // N m, dry friction at the disc
  Real drive[signal::kWheels];  // N m
};

template <class Real>
inline WheelTorques<Real> wheel_torques(const PlantParams<Real>& car, const PlantStructure& st,
                                        const PlantState<Real>& s, const Real (&pressure)[signal::kWheels],
                                        const signal::DriverInput<Real>& driver) {
  WheelTorques<Real> t;
  const Real fade = clamp(s.speed / car.engine_braking_fade, Real(0.0), Real(1.0));
  const Real engine = driver.coasting * car.engine_braking * fade;
  for (int w = 0; w < signal::kWheels; ++w) {
    const int a = signal::axle_of(w);
    const BrakeParams<Real>& b = car.brake[a];
    const Real friction = evaluate(b.pad, st.pad_segments, s.disc[w]);
    t.brake[w] = friction * b.torque_per_pascal * max(Real(0.0), pressure[w] - b.opening_pressure);
    t.drive[w] = car.driven_share[a] * fma(driver.traction, car.tyre[a].radius, -engine);
  }
  return t;
}

// Wheel speed and slip solved together, implicitly, with the tyre's secant stiffness S:
//   sigma dk/dt + |v| k = w r - v,   J dw/dt = T_drive - r F - T_dry sign(w),   F = S k + c (w r - v).
// c fades in below 2 m/s, where the slip equation has no damping left. The dry friction (brake and rolling
// resistance) can stop and hold the wheel but never turn it backwards. Returns the contact force; heats the
// disc.
template <class Real>
inline Real step_wheel(const PlantParams<Real>& car, int w, Real stiffness, Real load, Real brake, Real drive,
                       Real h, PlantState<Real>& s) {
  const TyreParams<Real>& t = car.tyre[signal::axle_of(w)];
  const BrakeParams<Real>& b = car.brake[signal::axle_of(w)];
  const Real v = s.speed, v_abs = abs(v);
  const Real damping = t.low_speed_damping * max(Real(0.0), 1.0 - v_abs * (1.0 / kDampingFadeSpeed));
  const Real reach = fma(h, v_abs, t.relaxation);
  const Real slip_at_lock = (t.relaxation * s.slip[w] - h * v) / reach;
  const Real slip_per_speed = h * t.radius / reach;
  const Real inertia = t.inertia + h * t.radius * fma(stiffness, slip_per_speed, damping * t.radius);
  const Real momentum =
      fma(t.inertia, s.wheel_speed[w], h * fma(t.radius, damping * v - stiffness * slip_at_lock, drive));
  const Real dry = h * fma(t.rolling * load, t.radius, brake);
  const Real kept = max(Real(0.0), abs(momentum) - dry);
  const Real before = s.wheel_speed[w];
  const Real after = select(momentum < Real(0.0), -kept, kept) / inertia;
  s.wheel_speed[w] = after;
  s.slip[w] = clamp(fma(slip_per_speed, after, slip_at_lock), Real(-1.0), Real(1.0));
  const Real power = brake * 0.5 * abs(before + after);
  const Real loss =
      fma(b.convection_per_mps, v_abs, b.convection_at_rest) * b.cooling * (s.disc[w] - car.ambient);
  s.disc[w] = fma(h, fma(power, b.heating, -loss), s.disc[w]);
  return fma(stiffness, s.slip[w], damping * fma(after, t.radius, -v));
}

// Body and load transfer. Moments about the rear contact: the front axle gains (-h F_x + (h - h_drag) D) / L,
// reached through a second-order pitch lag; m dv/dt = F_x - D - m g sin(grade).
template <class Real>
inline void step_body(const PlantParams<Real>& car, Real contact, Real along, Real h, PlantState<Real>& s) {
  const Real drag = car.drag * s.speed * abs(s.speed);
  const Real settled = fma(car.cog_height - car.drag_height, drag, -car.cog_height * contact) / car.wheelbase;
  const Real pull = car.pitch_rate * car.pitch_rate * (settled - s.transfer);
  const Real brake = 2.0 * car.pitch_damping * car.pitch_rate;
  s.transfer_rate = fma(h, pull, s.transfer_rate) / fma(h, brake, Real(1.0));
  s.transfer = fma(h, s.transfer_rate, s.transfer);
  const Real before = s.speed;
  s.speed = before + h * ((contact - drag) / car.mass - kGravity * along);
  s.distance = fma(0.5 * h, before + s.speed, s.distance);
}

// One controller tick: the substeps, then what can be seen.
template <class Real>
inline void step_plant(const PlantParams<Real>& car, const PlantStructure& st,
                       const signal::DriverInput<Real>& driver, const Real (&command)[signal::kAxles],
                       PlantState<Real>& s, signal::PlantSignals<Real>& out) {
  const double h_plain = st.tick_s / st.substeps;
  const Real h = Real(h_plain);
  const Real entry_speed = s.speed;
  out.authority_margin = Real(1.0);
  out.flow_saturated = Real(0.0);
  Real pressure[signal::kWheels];
  for (int i = 0; i < st.substeps; ++i) {
    const Road<Real> road = road_at(car, st, s.distance);
    wheel_loads(car, s, road.across, out.wheel_load);
    if (st.pressure_entry) {
      for (int w = 0; w < signal::kWheels; ++w) pressure[w] = driver.line_pressure[signal::axle_of(w)];
    } else {
      const Authority<Real> left = step_hydraulics(car, command, h, s.hydraulics);
      out.authority_margin = min(out.authority_margin, left.margin);
      out.flow_saturated = max(out.flow_saturated, left.saturated);
      for (int w = 0; w < signal::kWheels; ++w)
        pressure[w] = caliper_pressure(car.brake[signal::axle_of(w)], s.hydraulics.volume[w]).pressure;
    }
    const WheelTorques<Real> torque = wheel_torques(car, st, s, pressure, driver);
    const TyreForces<Real> tyre = tyre_forces(car, s.slip, out.wheel_load, road.friction);
    Real contact = Real(0.0);
    for (int w = 0; w < signal::kWheels; ++w) {
      out.brake_torque[w] = torque.brake[w];
      out.contact_force[w] =
          step_wheel(car, w, tyre.stiffness[w], out.wheel_load[w], torque.brake[w], torque.drive[w], h, s);
      contact = contact + out.contact_force[w];
    }
    step_body(car, contact, road.along, h, s);
  }
  out.distance = s.distance;
  out.speed = s.speed;
  out.deceleration = (entry_speed - s.speed) * (1.0 / st.tick_s);
  for (int a = 0; a < signal::kAxles; ++a) out.pressure[a] = 0.5 * (pressure[2 * a] + pressure[2 * a + 1]);
  for (int w = 0; w < signal::kWheels; ++w) {
    out.wheel_speed[w] = s.wheel_speed[w];
    out.brake_slip[w] = -s.slip[w];
    out.disc[w] = s.disc[w];
  }
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
