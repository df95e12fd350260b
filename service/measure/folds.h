// What the engine keeps of a replay while it runs: plain numbers from which measures are made at the end.
#pragma once

#include "measure/balance_folds.h"
#include "measure/driver_folds.h"
#include "measure/launch_folds.h"

namespace brakeward::measure {

// Constants of the folds, fixed by the scenario and the baseline.
template <class Real>
struct FoldParams {
  Real onset_tick;         // first tick at which the request counts as begun
  Real rolling_radius[2];  // m
  Real pressure_level[4];  // Pa, front circuit: first pressure, 10 %, 63 %, 90 % of the reference peak
  Real fault_start_tick;   // past the end when there is no fault
  Real fault_end_tick;
  Real marker_distance;         // m from onset; past any replay where there is none
  Real jerk_share;              // 1, of its way that the low-pass of the deceleration goes in a tick
  Real pressure_per_torque[2];  // Pa/(N m), of an axle's brakes; 0 without motors
};

// A crossing: the sample before and the sample at or beyond the level. The division happens at harvest.
template <class Real>
struct Crossing {
  Real tick;  // of the sample beyond; negative when never crossed
  Real before, after;
};

template <class Real>
struct Folds {
  Real finish_tick;
  Real onset_speed, onset_distance;
  Real last_speed, last_distance;
  Crossing<Real> speed[3];          // falling through 0.8 v0, 0.1 v0, standstill
  Real speed_distance_before[3];    // m, distance at the sample before
  Real speed_distance_after[3];     // m
  Crossing<Real> pressure_rise[4];  // front circuit, first upward crossing of pressure_level
  Crossing<Real> pressure_fall;     // front circuit, last downward crossing of the 10 % level
  Real peak_pressure, peak_target;  // Pa, front circuit
  Real residual_pressure;           // Pa, last front pressure
  Real unrequested_pressure;  // Pa, greatest front pressure while the reference has been released for a while
  Real peak_deceleration;
  Real onset_deceleration, last_deceleration;  // m/s^2
  Crossing<Real> deceleration_rise;            // kFirstDeceleration beyond that at onset
  Real smooth_deceleration, peak_jerk;         // m/s^2, m/s^2 a tick
  Crossing<Real> marker;                       // m from onset
  Real marker_speed_before, marker_speed_after;
  Real unsettled_tick;       // last with front pressure off its target while the reference is near its peak
  Real peak_tracking_error;  // Pa
  Real front_torque, all_torque;  // N m ticks
  Real roll_away;                 // m, farthest from where it first stood, not driven
  Real peak_slip[2];
  Real locked_ticks[2];
  Real peak_disc[2];
  Real least_authority;
  Real saturated_ticks;
  Real limiter_ticks;
  Real tracking_square;                // Pa^2 ticks
  Real braking_ticks;                  // ticks with a reference demand
  Real braking_distance;               // m
  Real braking_speed_loss;             // m/s
  Real released_ticks;                 // since the reference demand ended
  Real detection_tick, recovery_tick;  // negative until seen
  Real fault_state;                    // signal::RequestState of the last tick since the fault began
  Real unbraked_ticks, longest_unbraked_ticks;
  Real unrequested_ticks, longest_unrequested_ticks;
  Real unrequested_deceleration;  // m/s^2, greatest
  Real fault_braking_ticks;       // with a reference demand, once the fault has had time to act
  Real fault_deceleration;        // m/s^2, greatest in those ticks
  Real return_jump;               // Pa, front circuit
  Real mean_departure;            // m/s^2, deceleration error averaged over about 0.5 s
  Real departure_ticks, longest_departure_ticks;
  Real compared_ticks;
  Real deceleration_square;  // (m/s^2)^2 ticks
  Real pressure_compared_ticks;
  Real pressure_square;      // Pa^2 ticks
  Real sound;                // 1 while every observed number is finite
  DriverFolds<Real> driver;  // zero unless the driver follows a speed
  FeelFolds<Real> feel;      // without a level reached unless feel is read
  BalanceFolds<Real> balance;
  GripFolds<Real> grip;
  LaunchFolds<Real> launch;
  BlendFolds<Real> blend;  // zero without motors
};

// Below this speed a car counts as standing.
inline constexpr double kStandstill = 0.05;  // m/s
// Deceleration beyond that at onset which a driver feels begin; common practice, no source.
inline constexpr double kFirstDeceleration = 0.5;  // m/s^2
// A value that marks "nothing recorded here" in an input channel.
inline constexpr double kNotRecorded = -1e30;

}  // namespace brakeward::measure
