// The ports between driver, faults, sensors, controller and plant: what passes from one to the next within a
// tick. SI units; ISO 8855 axes. Plain structs of scalars only, so that a lane can be copied in and out.
#pragma once

namespace brakeward::signal {

enum Axle { kFront, kRear, kAxles };
enum Wheel { kFrontLeft, kFrontRight, kRearLeft, kRearRight, kWheels };
enum HandTrack { kTrackA, kTrackB, kHandTracks };

constexpr Axle axle_of(int wheel) {
  return wheel < kRearLeft ? kFront : kRear;
}

// How circuits, actuators and wheels hang together.
struct HydraulicLayout {
  bool diagonal = false;         // each circuit feeds a wheel of either axle
  bool shared_actuator = false;  // one feeds both circuits
  bool wheel_valves = false;     // each wheel has an inlet and an outlet valve

  bool operator==(const HydraulicLayout&) const = default;
  // A circuit and an actuator an axle, no valves per wheel.
  bool is_plain() const { return !diagonal && !shared_actuator && !wheel_valves; }
  // False where both circuits can only have one pressure.
  bool has_balance() const { return wheel_valves || is_plain(); }
};

// The first and second wheel of a circuit: those of an axle, or with a diagonal split one of each axle.
constexpr int wheel_of(bool diagonal, int circuit, int i) {
  if (!diagonal) return 2 * circuit + i;
  return i == 0 ? circuit : 3 - circuit;
}

// The circuit that feeds a wheel.
constexpr Axle circuit_of(bool diagonal, int wheel) {
  if (!diagonal) return axle_of(wheel);
  return wheel == kFrontLeft || wheel == kRearRight ? kFront : kRear;
}

// What the person does.
template <class Real>
struct DriverInput {
  Real hand_travel;       // m
  Real pedal_force;       // N
  Real traction;          // N, sum at the driven wheels, used to regain speed between applications
  Real coasting;          // 1 with the accelerator released (engine braking acts), else 0
  Real accelerator;       // 1, share of the greatest traction asked for; 0 where nobody looks at it
  Real steering;          // rad, of the steering wheel, positive to the left
  Real line_pressure[2];  // Pa, front and rear; only where the replay enters at pressure
};

// What faults and disturbances do in a tick. Track voltages: volts' = gain x volts + offset. A circuit is
// named after the axle it feeds, with a diagonal split after that of its left wheel.
template <class Real>
struct FaultEffects {
  Real hand_gain[kHandTracks];
  Real hand_offset[kHandTracks];  // V
  Real hand_stuck[kHandTracks];   // 1 while the track keeps its voltage, else 0
  Real pedal_gain;
  Real pedal_offset;             // V
  Real pedal_stuck;              // as those of the hand
  Real pressure_offset[kAxles];  // Pa, of the sensor
  Real pressure_stuck[kAxles];   // 1 while the sensor keeps its value, else 0
  Real speed_lost[kWheels];      // 1 while the wheel's sensor reads 0, else 0
  Real bus_silent;               // 1 while no request message gets through, else 0
  Real bus_delay;                // ticks, whole, by which request messages come late
  Real pedal_selected;           // 1 while the driver's selector says pedal, 0 while it says hand control
  Real acceleration_offset;      // m/s^2, of the accelerometer
  Real accelerator;              // 1, share of the greatest traction pressed for at least
  Real supply;                   // V, at most this
  Real dead[kAxles];             // 1 while the circuit's actuator does nothing, else 0
  Real response[kAxles];         // 1, share of the actuator's way in a step
  Real flow[kAxles];             // 1, share of the actuator's flow
  Real leak[kAxles];             // m^3/(s Pa^0.5), C_d A sqrt(2 / rho) of the hole in the circuit
  Real knock_due[kWheels];       // 1 from the tick on at which the wheel's pads are knocked back, else 0
};

// What the controller is allowed to know.
template <class Real>
struct SensorFrame {
  Real hand_volts[kHandTracks];  // V
  Real pedal_volts;              // V
  Real steering;                 // rad, of the steering wheel, positive to the left
  Real pedal_selected;           // 1 for the pedal, 0 for the hand control
  Real request_age;              // ticks since a message with these voltages came; 0 without a bus
  Real wheel_speed[kWheels];     // rad/s
  Real pressure[kAxles];         // Pa, per circuit
  Real motor_braking[kAxles];    // N m the motor brakes with on demand, as its electronics say; 0 without
  Real supply;                   // V
  Real accelerator;              // 1, as of the driver
  // m/s^2, force on a mass along the road and forward, as an accelerometer feels it: a + g sin(grade). 0
  // where the controller has none.
  Real longitudinal_acceleration;
};

// What the controller asks of the actuators.
template <class Real>
struct ActuatorCommand {
  Real pressure[kAxles];         // Pa, per circuit
  Real wheel_pressure[kWheels];  // Pa, of the valves per wheel where there are some
  Real motor_torque[kAxles];     // N m at the wheels, sum of both of an axle; negative to brake
  Real accelerator_share;        // 1, what is left of the accelerator's request
  Real awake;                    // 1 while the controller drives the actuators, else 0
};

// States of the request supervision, coded as scalars in ControlSignals::state.
enum RequestState { kReady, kLimited, kLost, kRearming };

// What can be seen of the controller.
template <class Real>
struct ControlSignals {
  Real demand;               // Pa, mean circuit pressure after shaping, arbitration and rate limits
  Real target[kAxles];       // Pa, after balance and slip limit, at the wheel of the axle that gets more
  Real slip_factor[kAxles];  // 1, least share of the demand the slip limiter leaves a wheel of the axle
  Real reference_speed;      // m/s, the controller's own estimate
  Real state;                // RequestState
};

// What can be seen of the plant.
template <class Real>
struct PlantSignals {
  Real distance;                // m
  Real speed;                   // m/s
  Real deceleration;            // m/s^2, positive when slowing
  Real pressure[kAxles];        // Pa, mean of the axle's calipers
  Real line_pressure[kAxles];   // Pa, per circuit where its sensor is
  Real pedal_travel;            // m; 0 where it is not known
  Real brake_torque[kWheels];   // N m, friction torque available at the disc
  Real wheel_speed[kWheels];    // rad/s
  Real brake_slip[kWheels];     // 1, positive when braking
  Real wheel_load[kWheels];     // N
  Real contact_force[kWheels];  // N, positive forward
  Real disc[kWheels];           // degC, at the friction face
  Real fluid[kWheels];          // degC, in the caliper
  Real gas[kWheels];            // m^3 of air and vapour in the caliper, at the air's pressure
  Real pad_worn[kWheels];       // m^3 of all pads of the brake
  Real winding[kAxles];         // degC, of the actuator
  Real lateral_unmet;           // N of lateral force the tyres could not give, positive to the left
  Real yaw_unmet;               // N m about the centre of gravity, of that and of unequal braking
  Real grip;                    // N, greatest force of all tyres together
  Real beyond_peak;             // 1 while a wheel brakes beyond its tyre's peak, else 0
  Real authority_margin;        // 1, least of the pressure and volume margins of both circuits
  Real flow_saturated;          // 1 while a circuit's flow limit acts, else 0
  Real motor_torque[kAxles];    // N m at the wheels, sum of both of an axle; negative when braking; 0 without
  Real battery_charge;          // 1; 0 without motors
  Real energy_recovered;        // J, into the battery since the start; 0 without motors
};

}  // namespace brakeward::signal
