// Constants of the car in SI units. Plain scalars only: the same struct serves one replay and a batch of
// lanes.
#pragma once

#include "math/curve_data.h"
#include "model/plant/heat_params.h"
#include "signal/ports.h"

namespace brakeward::plant {

// Magic Formula, pure longitudinal slip without shifts: Pacejka, Tyre and Vehicle Dynamics, 2nd ed.
// 2006, 4.3.2.
template <class Real>
struct TyreParams {
  Real nominal_load;  // N
  Real c, d1, d2, e1, e2, e3, k1, k2, k3;
  Real radius;             // m
  Real inertia;            // kg m^2
  Real relaxation;         // m
  Real rolling;            // 1, rolling resistance over load
  Real low_speed_damping;  // N s/m, of a gripping tyre at nominal load
  Real lateral_ratio;      // 1, greatest lateral over greatest longitudinal force
};

template <class Real>
struct BrakeParams {
  Real torque_per_pascal;              // m^3: 2 A r_eff; torque = mu x this x (p - opening_pressure)
  Real opening_pressure;               // Pa
  math::Curve<Real> pad;               // 1 over degC at the friction face
  math::Curve<Real> pad_per_pressure;  // 1 over Pa, a factor
  math::Curve<Real> pad_per_speed;     // 1 over m/s at the effective radius, a factor
  math::Curve<Real> wear;              // m^3/J over degC at the friction face
  Real effective_radius;               // m
  Real pad_lack;                       // 1, share of the friction that wet or unbedded pads lack at the start
  Real per_recovery_work;              // 1/J
  Real drag;                           // N m, of the released brake
  Real seal_friction;                  // Pa
  Real boiling;                        // degC, at the air's pressure
  Real vapour_growth;                  // m^3/(s K)
  Real vapour_limit;                   // m^3, all of the caliper's fluid
  HeatParams<Real> heat;
  Real clearance;         // m^3
  Real knee;              // m^3
  Real stiffness;         // Pa/m^3
  Real flow_gain;         // m^3/(s Pa^0.5): C_d A sqrt(2 / rho)
  Real laminar_pressure;  // Pa
};

template <class Real>
struct ActuatorParams {
  Real dead_ticks;           // dead time in controller ticks, may be fractional
  Real lag;                  // s
  Real stall_pressure;       // Pa
  Real flow_limit;           // m^3/s
  Real volume_limit;         // m^3
  Real per_nominal_supply;   // 1/V, 0 where supply does not matter
  Real heat_at_stall;        // W
  Real per_heat_capacity;    // K/J, 0 where it does not warm
  Real cooling;              // W/K
  Real derating_from;        // degC
  Real derating_per_kelvin;  // 1/K, of strength lost; 0 where it does not derate
  Real derated;              // 1, strength left at least
  Real start_winding;        // degC
};

// Inlet and outlet valve of a wheel.
template <class Real>
struct WheelValveParams {
  Real lag;            // s
  Real outlet_gain;    // m^3/(s Pa^0.5): C_d A sqrt(2 / rho)
  Real return_volume;  // m^3, of a circuit
  Real return_flow;    // m^3/s
};

// The pedal's hydraulic way to each circuit.
template <class Real>
struct PedalPathParams {
  Real pressure_per_force[signal::kAxles];  // Pa/N
  Real volume_limit[signal::kAxles];        // m^3
  Real travel_per_volume[signal::kAxles];   // 1/m^2, of the pedal
  math::Curve<Real> simulator;              // m of pedal travel over N
  Real valve_ticks;                         // from power lost to valves open
  Real drop_out;                            // V
};

template <class Real>
struct SensorParams {
  Real hand_zero[signal::kHandTracks];   // V
  Real hand_slope[signal::kHandTracks];  // V/m
  Real hand_limit;                       // m
  Real pedal_zero;                       // V
  Real pedal_slope;                      // V/N
  Real voltage_step;                     // V, 0 for none
  Real pressure_step;                    // Pa, 0 for none
  Real wheel_speed_step;                 // rad/s, 0 for none
  Real bus_period_ticks;                 // of the request bus, where there is one
  Real bus_delay_ticks;                  // whole
  Real acceleration_offset;              // m/s^2
  Real acceleration_step;                // m/s^2, 0 for none
};

// mu(s) = c1 (1 - exp(-c2 s)) - c3 s.
template <class Real>
struct SurfaceParams {
  Real c1, c2, c3;  // 1
  Real peak;        // 1, greatest mu
};

// One wheel on its springs.
template <class Real>
struct SuspensionParams {
  Real unsprung_mass;  // kg
  Real rate, damping;  // N/m and N s/m, of the suspension at the wheel
  Real tyre_rate;      // N/m, vertical
};

// A differential that holds a difference of preload + ratio |torque of the axle| between its wheels.
template <class Real>
struct DifferentialParams {
  Real preload;  // N m
  Real ratio;    // 1
};

// Torques are sums of both wheels of the axle.
template <class Real>
struct MotorParams {
  Real peak;        // N m
  Real power;       // W at the wheels
  Real lag;         // s
  Real coast;       // N m of braking with the accelerator released
  Real coast_fade;  // m/s
};

template <class Real>
struct BatteryParams {
  Real capacity;                         // J
  Real efficiency;                       // 1, from the wheels into the battery and back
  math::Curve<Real> regeneration_limit;  // W at the wheels over charge (1)
  Real start_charge;                     // 1
};

template <class Real>
struct RoadParams {
  math::Curve<Real> friction[2];         // left, right; factor over distance in m
  math::Curve<Real> grade;               // rise over run, positive uphill, over distance in m
  math::Curve<Real> banking;             // fall over run to the right, over distance in m
  math::Curve<Real> vertical_curvature;  // 1/m, positive in a dip, over distance in m
  math::Curve<Real> path_curvature;      // 1/m, positive to the left, over distance in m
  math::Curve<Real> bump[2];             // left, right; m of height over distance in m
  SurfaceParams<Real> surface;           // in place of the tyres' own curve where the structure says so
};

template <class Real>
struct PlantParams {
  Real mass;                        // kg
  Real wheelbase;                   // m
  Real static_front;                // 1, share of the static load on the front axle
  Real cog_height;                  // m
  Real track[signal::kAxles];       // m
  Real roll_share[signal::kAxles];  // 1, of the lateral load transfer; sums to 1
  Real pitch_rate;                  // rad/s, undamped natural frequency
  Real pitch_damping;               // 1
  Real drag;                        // kg/m: 1/2 rho C_d A
  Real drag_height;                 // m
  Real downforce[signal::kAxles];   // kg/m: 1/2 rho C_l A
  TyreParams<Real> tyre[signal::kAxles];
  BrakeParams<Real> brake[signal::kAxles];
  ActuatorParams<Real> actuator[signal::kAxles];  // of each circuit; one that both share is in both places
  PedalPathParams<Real> pedal_path;
  WheelValveParams<Real> wheel_valve;
  Real caliper_air[signal::kWheels];  // m^3 at the air's pressure and the fluid's temperature at the start
  Real knock_back[signal::kWheels];   // m^3
  SensorParams<Real> sensor;
  Real hand_shift;  // m/rad, travel the hand control's sensors see besides the driver's per steering angle
  SuspensionParams<Real> suspension[signal::kAxles];
  DifferentialParams<Real> differential[signal::kAxles];
  MotorParams<Real> motor[signal::kAxles];
  BatteryParams<Real> battery;
  RoadParams<Real> road;
  Real
      driven_share[signal::kAxles];  // share of the traction at one wheel of the axle; sums to 1 over the car
  Real engine_braking;               // N m, sum at the driven wheels
  Real engine_braking_fade;          // m/s
  Real traction_limit;               // N
  Real ambient;                      // degC
  Real start_speed;                  // m/s
  Real start_disc[signal::kAxles];   // degC
  Real start_fluid[signal::kAxles];  // degC, and of the caliper's body
};

}  // namespace brakeward::plant
