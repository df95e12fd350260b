// The person's constants.
#pragma once

#include "math/curve_data.h"

namespace brakeward::driver {

template <class Real>
struct DriverParams {
  Real speed_gain;      // N s/m, traction per speed error while regaining speed
  Real traction_limit;  // N
};

// Of a driver who follows a speed.
template <class Real>
struct FollowParams {
  Real by_pedal;        // 1 for the pedal, 0 for the hand control
  Real correction;      // m per m/s, or N per m/s
  Real reaction_ticks;  // below kReactionDepth
  Real response;        // 1, share of the way from effort to command in a tick: 1 - exp(-dt / lag)
  Real limit;           // m or N
};

template <class Real>
struct SteeringParams {
  math::Curve<Real> angle;  // rad of the steering wheel, positive to the left, over distance in m
};

// Covers the longest reaction time at the shortest tick (1 s at 0.5 ms) and one more.
inline constexpr int kReactionDepth = 2048;

}  // namespace brakeward::driver
