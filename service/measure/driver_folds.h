// What the engine keeps of a driver who follows a speed, and of feel. Part of the folds of a replay.
#pragma once

namespace brakeward::measure {

// Effort is m of hand travel or N of pedal force.
template <class Real>
struct DriverFolds {
  Real peak_effort;
  Real effort_sum;    // ticks, while he means to brake
  Real effort_ticks;  // in which he does
  Real error_square;  // (m/s)^2 ticks, car less followed speed
  Real peak_error;    // m/s, greatest size
  Real error_ticks;
};

// Levels of deceleration at which the effort is read.
inline constexpr int kFeelLevels = 8;

template <class Real>
struct FeelParams {
  Real coasting_tick;  // of this tick is what the wheels' torques make without a request
  Real step;           // m/s^2 from level to level, and from none to the first
  Real per_torque[2];  // 1/(kg m), of front and rear axle: deceleration over the torque at its wheels
};

template <class Real>
struct FeelFolds {
  Real coasting;  // m/s^2
  Real last;      // m/s^2, beyond that
  Real last_effort;
  Real up[kFeelLevels];    // effort when a level is last reached while it rises; negative until then
  Real down[kFeelLevels];  // effort when it is last left while it falls; negative until then
};

}  // namespace brakeward::measure
