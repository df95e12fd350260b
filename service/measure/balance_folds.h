// What the engine keeps of the balance between the axles and of what the tyres gave. Part of the folds of a
// replay.
#pragma once

namespace brakeward::measure {

template <class Real>
struct BalanceFolds {
  Real peak_torque, front_at_peak;  // N m, both axles and the front one when they together gave most
  Real least_share, most_share;     // 1, of the front axle's torque while the brakes work
  Real over_ideal;                  // 1 ticks, share of brake force less share of wheel load
  Real working_ticks;
  Real lock_tick[2];       // of the first locked wheel; negative until then
  Real lock_deceleration;  // m/s^2, when the first wheel of all locks
};

template <class Real>
struct GripFolds {
  Real beyond_ticks;   // a wheel braking beyond its tyre's peak
  Real limited_force;  // N ticks, braking force of all tyres while slip is limited
  Real limited_grip;   // N ticks, what they could have given
  Real unmet_lateral;  // N, greatest size
  Real yaw_moment;     // N m, greatest size
};

}  // namespace brakeward::measure
