// What the by-wire controller is told, in SI units and ticks.
#pragma once

#include "math/curve_data.h"
#include "signal/ports.h"

namespace brakeward::control {

template <class Real>
struct RequestParams {
  Real hand_zero[signal::kHandTracks];   // V
  Real hand_scale[signal::kHandTracks];  // m/V
  Real volts_minimum, volts_maximum;     // V
  Real track_difference;                 // m
  Real debounce_ticks;
  Real rearm_plausible_ticks;
  Real rearm_released_ticks;
  Real released_below;           // m
  Real limited_share;            // 1, share of the hand demand honoured on one track
  Real hand_play;                // m
  Real hand_dead_band;           // m
  Real hand_smoothing;           // 1, 1 - exp(-2 pi f dt)
  math::Curve<Real> hand_feel;   // Pa over m
  Real pedal_zero;               // V
  Real pedal_scale;              // N/V
  Real pedal_dead_band;          // N
  Real pedal_smoothing;          // 1
  math::Curve<Real> pedal_feel;  // Pa over N
  Real steering_compensation;    // m/rad
};

// Where the driver's selector says which request counts.
template <class Real>
struct ArbitrationParams {
  Real change_per_tick;    // 1
  Real start_pedal_share;  // 1, 1 where the selector says pedal at the start, else 0
};

template <class Real>
struct BalanceParams {
  Real front_share;               // 1
  math::Curve<Real> speed_trim;   // 1 over m/s
  math::Curve<Real> demand_trim;  // 1 over Pa
};

template <class Real>
struct BlendParams {
  Real limit[signal::kAxles];                // N m, 0 where no motor brakes
  Real torque_per_pressure[signal::kAxles];  // m^3, of the friction brakes
  Real fade_to;                              // m/s
  Real per_fade;                             // s/m
  Real slew_per_tick;                        // N m
};

template <class Real>
struct PressureParams {
  Real rise_per_tick, fall_per_tick;  // Pa
  Real demand_limit;                  // Pa
  Real proportional;                  // 1
  Real integral_per_tick;             // 1
  Real integral_limit;                // Pa
  Real prefill;                       // Pa
  Real prefill_ticks;
};

template <class Real>
struct SlipParams {
  Real release_slip[signal::kAxles];      // 1
  Real reapply_slip[signal::kAxles];      // 1
  Real release_per_tick[signal::kAxles];  // 1
  Real reapply_per_tick[signal::kAxles];  // 1
  Real least_factor[signal::kAxles];      // 1
  Real each_wheel[signal::kAxles];        // 1 where each wheel is limited by itself, else 0
  Real off_below;                         // m/s
  Real reference_change_per_tick;         // m/s
  Real radius[signal::kAxles];            // m, rolling radius the controller assumes
  Real reference_margin_per_tick;         // m/s, with an accelerometer
  Real hold_above_per_tick;               // m/s, gain of a wheel's speed
  Real tick;                              // s
};

// What is checked besides the tracks of the hand control. A check that is not made has a bound that nothing
// passes.
template <class Real>
struct SupervisionParams {
  Real request_timeout_ticks;
  Real pedal_minimum, pedal_maximum;  // V
  Real pedal_released_below;          // N
  Real wheel_drop_per_tick;           // m/s
  Real wheel_share;                   // 1, of the reference speed
  Real pressure_error;                // Pa
  Real pressure_error_ticks;
  Real feedback_per_tick;  // 1
  Real supply_minimum;     // V
  Real debounce_ticks;
  Real plausible_ticks;      // before something is trusted again
  Real released_ticks;       // before the pedal is
  Real rearm_rise_per_tick;  // Pa
};

// The hold at standstill.
template <class Real>
struct HoldParams {
  Real standing_below;  // m/s
  Real standing_ticks;
  Real share;  // 1, of the demand
  Real limit;  // Pa
  Real longest_ticks;
  Real rolls_above;         // m/s
  Real launch_accelerator;  // 1
  Real release_per_tick;    // Pa
};

// The accelerator beside the brake.
template <class Real>
struct OverlapParams {
  Real accelerator;  // 1
  Real request;      // Pa
  Real plausible_ticks;
  Real kept_share;       // 1
  Real change_per_tick;  // 1
  Real released_below;   // 1
};

// Start and restart.
template <class Real>
struct PowerParams {
  Real running_above;  // V
  Real test_ticks;
  Real moving_test_ticks;
  Real moving_above;  // m/s
  Real foot_pushes;   // 1 where the pedal brakes by itself while no actuator is driven, else 0
};

template <class Real>
struct ControlParams {
  RequestParams<Real> request;
  SupervisionParams<Real> supervision;
  ArbitrationParams<Real> arbitration;
  BalanceParams<Real> balance;
  BlendParams<Real> blend;
  PressureParams<Real> pressure;
  SlipParams<Real> slip;
  HoldParams<Real> hold;
  OverlapParams<Real> overlap;
  PowerParams<Real> power;
};

}  // namespace brakeward::control
