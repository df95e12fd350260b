// What a replay would otherwise work out again in every step: reciprocals and products of the car's
// constants. Divisions bound the speed of the engine. Kernel: included by engine translation units only.
#pragma once

#include "math/constants.h"
#include "math/kernel.inl.h"
#include "model/plant/heat.inl.h"
#include "model/plant/params.h"
#include "model/plant/structure.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct AxleConstants {
  Real per_nominal_load;  // 1/N
  Real damping;           // s/m: low-speed damping over the slip stiffness at nominal load
  Real knee_square;       // m^6
  Real rest;              // m^3, root less clearance at zero caliper volume
  Real half_stiffness;    // Pa/m^3
  Real approach;          // 1, share of the way the actuator goes in a step
  Real per_stall;         // 1/Pa
  Real per_volume_limit;  // 1/m^3
  Real volume_a_step;     // m^3, at the flow limit
  Real body_mass;         // kg, on one wheel's springs
  Real motor_approach;    // 1, share of the way a motor's torque goes in a step
  Real per_coast_fade;    // s/m
  Real throttle;          // 1, what the lines take of stall pressure at the flow limit, times four
  HeatConstants<Real> heat;
};

template <class Real>
struct PlantConstants {
  Real weight;                 // N
  Real per_mass;               // 1/kg
  Real per_wheelbase;          // 1/m
  Real pitch_stiffness;        // 1/s^2
  Real pitch_decay;            // 1, of the transfer rate in a step
  Real per_braking_fade;       // s/m
  Real per_voltage_step;       // 1/V, 0 for no quantization
  Real per_pressure_step;      // 1/Pa
  Real per_wheel_speed_step;   // s/rad
  Real per_acceleration_step;  // s^2/m
  Real valve_approach;         // 1, share of the way a wheel's valves go in a step
  AxleConstants<Real> axle[signal::kAxles];
};

// 1/step, and 0 for no step.
template <class Real>
BRAKEWARD_INLINE Real per_step(Real step) {
  const auto none = step <= Real(0.0);
  return select(none, Real(0.0), 1.0 / select(none, Real(1.0), step));
}

// What the lines of a circuit that feeds both axles, or those of both circuits together, take of an actuator.
template <class Real>
BRAKEWARD_INLINE void share_lines(const PlantParams<Real>& car, const PlantStructure& st,
                                  PlantConstants<Real>& k) {
  if (!st.diagonal && !st.shared_actuator) return;
  const Real both = car.brake[signal::kFront].flow_gain + car.brake[signal::kRear].flow_gain;
  const Real lines = st.shared_actuator ? 2.0 * both : both;
  for (int a = 0; a < signal::kAxles; ++a) {
    const Real flow = 2.0 * car.actuator[a].flow_limit / lines;
    k.axle[a].throttle = flow * flow * k.axle[a].per_stall;
  }
}

template <class Real>
BRAKEWARD_INLINE PlantConstants<Real> constants_of(const PlantParams<Real>& car, const PlantStructure& st) {
  const Real h = Real(st.tick_s / st.substeps);
  PlantConstants<Real> k;
  k.weight = car.mass * kGravity;
  k.per_mass = 1.0 / car.mass;
  k.per_wheelbase = 1.0 / car.wheelbase;
  k.pitch_stiffness = car.pitch_rate * car.pitch_rate;
  k.pitch_decay = 1.0 / fma(h, 2.0 * car.pitch_damping * car.pitch_rate, Real(1.0));
  k.per_braking_fade = 1.0 / car.engine_braking_fade;
  k.per_voltage_step = per_step(car.sensor.voltage_step);
  k.per_pressure_step = per_step(car.sensor.pressure_step);
  k.per_wheel_speed_step = per_step(car.sensor.wheel_speed_step);
  k.per_acceleration_step = per_step(car.sensor.acceleration_step);
  for (int a = 0; a < signal::kAxles; ++a) {
    const BrakeParams<Real>& b = car.brake[a];
    const ActuatorParams<Real>& act = car.actuator[a];
    AxleConstants<Real>& c = k.axle[a];
    c.per_nominal_load = 1.0 / car.tyre[a].nominal_load;
    c.damping = car.tyre[a].low_speed_damping / (car.tyre[a].k1 * car.tyre[a].nominal_load);
    c.knee_square = b.knee * b.knee;
    c.rest = sqrt(fma(b.clearance, b.clearance, c.knee_square)) - b.clearance;
    c.half_stiffness = 0.5 * b.stiffness;
    c.approach = 1.0 - exp(-h / act.lag);
    c.per_stall = 1.0 / act.stall_pressure;
    c.per_volume_limit = 1.0 / act.volume_limit;
    c.volume_a_step = h * act.flow_limit;
    if (st.motors) {
      c.motor_approach = 1.0 - exp(-h / car.motor[a].lag);
      c.per_coast_fade = 1.0 / car.motor[a].coast_fade;
    }
    const Real share = a == signal::kFront ? car.static_front : 1.0 - car.static_front;
    c.body_mass = fma(0.5 * car.mass, share, -car.suspension[a].unsprung_mass);
    c.throttle = act.flow_limit * act.flow_limit * c.per_stall / (b.flow_gain * b.flow_gain);
    c.heat = heat_constants(b.heat, Real(st.heat_ticks * st.tick_s));
  }
  if (st.wheel_valves) k.valve_approach = 1.0 - exp(-h / car.wheel_valve.lag);
  share_lines(car, st, k);
  return k;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
