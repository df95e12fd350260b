// The folds, tick by tick. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "measure/balance_folds.inl.h"
#include "measure/folds.h"
#include "measure/launch_folds.inl.h"
#include "signal/ports.h"

namespace brakeward::measure {
inline namespace BRAKEWARD_ISA {

using namespace math;

// What was known beforehand of a tick.
template <class Real>
struct TickReference {
  Real front_demand;           // Pa, raw request through the baseline's static feel curve and balance
  Real recorded_deceleration;  // m/s^2, smoothed, or kNotRecorded
  Real recorded_pressure;      // Pa, front circuit, or kNotRecorded
  Real traction;               // N, what the driver drives the car on with
};

inline constexpr double kReferenceBraking = 1e5;  // Pa, reference demand above which the driver brakes
inline constexpr double kLockedBelow = 0.05;      // wheel speed over vehicle speed
// Band around the target in which pressure has settled, over the 90 % level: 10 % of the reference's peak;
// common practice, no source.
inline constexpr double kSettledBand = 0.1 / 0.9;
inline constexpr double kDeparture = 0.5;           // m/s^2
inline constexpr double kUnbrakedShare = 0.1;       // of the reference demand
inline constexpr double kUnrequestedBraking = 1e5;  // Pa, as for the onset of a request
inline constexpr double kFaultActsAfter = 0.4;  // of the settling time, 0.2 s: debounce and fall of pressure

template <class Real>
inline void start(Folds<Real>& f) {
  Real* field = reinterpret_cast<Real*>(&f);
  for (unsigned i = 0; i < sizeof(Folds<Real>) / sizeof(Real); ++i) field[i] = Real(0.0);
  for (int i = 0; i < 3; ++i) f.speed[i].tick = Real(-1.0);
  for (int i = 0; i < 4; ++i) f.pressure_rise[i].tick = Real(-1.0);
  f.pressure_fall.tick = f.detection_tick = f.recovery_tick = Real(-1.0);
  f.least_authority = f.sound = Real(1.0);
  f.peak_disc[0] = f.peak_disc[1] = f.peak_deceleration = Real(-1e9);
  f.fault_deceleration = Real(-1e9);
  f.deceleration_rise.tick = f.marker.tick = Real(-1.0);
  start(f.balance);
  start(f.launch);
  for (int i = 0; i < kFeelLevels; ++i) f.feel.up[i] = f.feel.down[i] = Real(-1.0);
}

// A crossing happens in few ticks: leaving early changes nothing but the time it takes.
template <class Real>
inline void latch(Mask<Real> now, Real tick, Real before, Real after, Crossing<Real>& c) {
  if (!any(now)) return;
  c.tick = select(now, tick, c.tick);
  c.before = select(now, before, c.before);
  c.after = select(now, after, c.after);
}

template <class Real>
inline void fold_stop(Real tick, Mask<Real> begun, const signal::PlantSignals<Real>& p, Folds<Real>& f) {
  const Real level[3] = {0.8 * f.onset_speed, 0.1 * f.onset_speed, Real(kStandstill)};
  for (int i = 0; i < 3; ++i) {
    const auto now = begun & (f.speed[i].tick < Real(0.0)) & (p.speed <= level[i]);
    if (!any(now)) continue;
    latch(now, tick, f.last_speed, p.speed, f.speed[i]);
    f.speed_distance_before[i] = select(now, f.last_distance, f.speed_distance_before[i]);
    f.speed_distance_after[i] = select(now, p.distance, f.speed_distance_after[i]);
  }
}

// Speed at the marker, the bite, and how fast the deceleration changes.
template <class Real>
inline void fold_bite(const FoldParams<Real>& k, Real tick, Mask<Real> begun,
                      const signal::PlantSignals<Real>& p, Folds<Real>& f) {
  const Real from = p.distance - f.onset_distance;
  const auto passes = begun & (f.marker.tick < Real(0.0)) & (from >= k.marker_distance);
  if (any(passes)) {
    latch(passes, tick, f.last_distance - f.onset_distance, from, f.marker);
    f.marker_speed_before = select(passes, f.last_speed, f.marker_speed_before);
    f.marker_speed_after = select(passes, p.speed, f.marker_speed_after);
  }
  f.onset_deceleration = select(begun, f.onset_deceleration, p.deceleration);
  const Real level = f.onset_deceleration + kFirstDeceleration;
  const auto bites = begun & (f.deceleration_rise.tick < Real(0.0)) & (p.deceleration >= level);
  latch(bites, tick, f.last_deceleration - f.onset_deceleration, p.deceleration - f.onset_deceleration,
        f.deceleration_rise);
  f.last_deceleration = p.deceleration;
  const Real change = k.jerk_share * (p.deceleration - f.smooth_deceleration);
  f.smooth_deceleration = f.smooth_deceleration + change;
  const auto moves = begun & (p.speed > Real(kSlipJudgedAbove));
  f.peak_jerk = max(f.peak_jerk, select(moves, abs(change), Real(0.0)));
}

// Until a car has stood there is nothing to fold.
template <class Real>
inline void fold_rest(const TickReference<Real>& ref, const signal::PlantSignals<Real>& p, Folds<Real>& f) {
  const auto stood = f.speed[2].tick >= Real(0.0);
  if (!any(stood)) return;
  const Real away = abs(p.distance - f.speed_distance_after[2]);
  f.roll_away = max(f.roll_away, select(stood & (ref.traction <= Real(0.0)), away, Real(0.0)));
}

template <class Real>
inline void fold_pressure(const FoldParams<Real>& k, Real tick, Mask<Real> begun, Mask<Real> limiting,
                          const TickReference<Real>& ref, const signal::PlantSignals<Real>& p,
                          const signal::ControlSignals<Real>& c, Folds<Real>& f) {
  const Real now = p.pressure[signal::kFront];
  for (int i = 0; i < 4; ++i) {
    const auto rise = begun & (f.pressure_rise[i].tick < Real(0.0)) & (now >= k.pressure_level[i]);
    latch(rise, tick, f.residual_pressure, now, f.pressure_rise[i]);
  }
  const auto fall = (f.residual_pressure > k.pressure_level[1]) & (now <= k.pressure_level[1]);
  latch(fall, tick, f.residual_pressure, now, f.pressure_fall);
  f.residual_pressure = now;
  f.peak_pressure = max(f.peak_pressure, now);
  f.peak_target = max(f.peak_target, c.target[signal::kFront]);
  const auto braking = ref.front_demand > Real(kReferenceBraking);
  const Real error = now - ref.front_demand;
  f.tracking_square = f.tracking_square + select(braking, error * error, Real(0.0));
  f.peak_tracking_error = max(f.peak_tracking_error, select(braking, abs(error), Real(0.0)));
  const auto off = begun & !limiting & (ref.front_demand >= k.pressure_level[3]) &
                   (abs(now - c.target[signal::kFront]) > kSettledBand * k.pressure_level[3]);
  f.unsettled_tick = select(off, tick, f.unsettled_tick);
  f.released_ticks = select(braking, Real(0.0), f.released_ticks + 1.0);
}

template <class Real>
inline void fold_wheels(const FoldParams<Real>& k, const signal::PlantSignals<Real>& p, Folds<Real>& f) {
  const auto judged = p.speed > Real(kSlipJudgedAbove);
  const auto locks = p.speed > Real(kLockJudgedAbove);
  for (int a = 0; a < signal::kAxles; ++a) {
    const Real slip = max(p.brake_slip[2 * a], p.brake_slip[2 * a + 1]);
    f.peak_slip[a] = max(f.peak_slip[a], select(judged, slip, Real(0.0)));
    const Real slowest = min(p.wheel_speed[2 * a], p.wheel_speed[2 * a + 1]) * k.rolling_radius[a];
    f.locked_ticks[a] =
        f.locked_ticks[a] + select(locks & (slowest < kLockedBelow * p.speed), Real(1.0), Real(0.0));
    f.peak_disc[a] = max(f.peak_disc[a], max(p.disc[2 * a], p.disc[2 * a + 1]));
  }
}

// What a fault does to the brakes while it is there and afterwards. Before it begins there is nothing to
// fold.
template <class Real>
inline void fold_fault(const FoldParams<Real>& k, Real tick, double settle_ticks,
                       const TickReference<Real>& ref, const signal::PlantSignals<Real>& p,
                       const signal::ControlSignals<Real>& c, Folds<Real>& f) {
  const auto begun = tick >= k.fault_start_tick;
  if (!any(begun)) return;
  const Real zero = Real(0.0);
  const auto ready = c.state < Real(0.5);
  const auto detected = (f.detection_tick < zero) & begun & !ready;
  f.detection_tick = select(detected, tick, f.detection_tick);
  const auto back = (f.detection_tick >= zero) & (tick >= k.fault_end_tick) & ready;
  f.recovery_tick = select(back & (f.recovery_tick < zero), tick, f.recovery_tick);
  const auto braking = begun & (ref.front_demand > Real(kReferenceBraking));
  const Real pressure = max(p.pressure[signal::kFront], p.pressure[signal::kRear]);
  const auto unbraked = braking & (pressure < kUnbrakedShare * ref.front_demand);
  f.unbraked_ticks = select(unbraked, f.unbraked_ticks + 1.0, zero);
  f.longest_unbraked_ticks = max(f.longest_unbraked_ticks, f.unbraked_ticks);
  const auto unrequested =
      begun & (f.released_ticks > Real(settle_ticks)) & (pressure > Real(kUnrequestedBraking));
  f.unrequested_ticks = select(unrequested, f.unrequested_ticks + 1.0, zero);
  f.longest_unrequested_ticks = max(f.longest_unrequested_ticks, f.unrequested_ticks);
  f.unrequested_deceleration = max(f.unrequested_deceleration, select(unrequested, p.deceleration, zero));
  const auto acting =
      braking & (tick >= k.fault_start_tick + kFaultActsAfter * settle_ticks) & (tick < k.fault_end_tick);
  f.fault_braking_ticks = f.fault_braking_ticks + select(acting, Real(1.0), zero);
  f.fault_deceleration = max(f.fault_deceleration, select(acting, p.deceleration, Real(-1e9)));
  const auto returned = begun & ready & (f.fault_state > Real(0.5));
  const Real jump = ref.front_demand - c.target[signal::kFront];
  f.return_jump = max(f.return_jump, select(returned, jump, zero));
  f.fault_state = select(begun, c.state, zero);
}

// While the slip limiter acts, the error counts averaged over about half a second: two limit cycles do not
// stay in phase, and a car whose mean deceleration agrees has not departed.
template <class Real>
inline void fold_recording(const TickReference<Real>& ref, Mask<Real> limiting, double settle_ticks,
                           const signal::PlantSignals<Real>& p, Folds<Real>& f) {
  const auto compared = (ref.recorded_deceleration > Real(0.5 * kNotRecorded)) & (p.speed > Real(1.0));
  const Real error = p.deceleration - select(compared, ref.recorded_deceleration, p.deceleration);
  f.deceleration_square = fma(error, error, f.deceleration_square);
  f.compared_ticks = f.compared_ticks + select(compared, Real(1.0), Real(0.0));
  f.mean_departure = fma(Real(1.0 / settle_ticks), error - f.mean_departure, f.mean_departure);
  const Real judged = select(limiting, f.mean_departure, error);
  f.departure_ticks = select(abs(judged) > Real(kDeparture), f.departure_ticks + 1.0, Real(0.0));
  f.longest_departure_ticks = max(f.longest_departure_ticks, f.departure_ticks);
  const auto pressed = compared & (ref.recorded_pressure > Real(0.5 * kNotRecorded));
  const Real off = select(pressed, p.pressure[signal::kFront] - ref.recorded_pressure, Real(0.0));
  f.pressure_square = fma(off, off, f.pressure_square);
  f.pressure_compared_ticks = f.pressure_compared_ticks + select(pressed, Real(1.0), Real(0.0));
}

// One tick into the folds. `settle_ticks` of no demand allow the pressure to fall before it counts as
// unrequested.
template <class Real>
inline void fold(const FoldParams<Real>& k, Real tick, double settle_ticks, bool motors,
                 const TickReference<Real>& ref, const signal::PlantSignals<Real>& p,
                 const signal::ControlSignals<Real>& c, Folds<Real>& f) {
  const auto onset = tick <= k.onset_tick;
  f.onset_speed = select(onset, p.speed, f.onset_speed);
  f.onset_distance = select(onset, p.distance, f.onset_distance);
  const auto begun = tick > k.onset_tick;
  fold_stop(tick, begun, p, f);
  fold_rest(ref, p, f);
  fold_launch(tick, f.speed[2].tick >= Real(0.0), ref.traction, p, f.launch);
  fold_bite(k, tick, begun, p, f);
  const auto limiting = min(c.slip_factor[0], c.slip_factor[1]) < Real(1.0);
  fold_pressure(k, tick, begun, limiting, ref, p, c, f);
  fold_wheels(k, p, f);
  fold_first_lock(f.locked_ticks, tick, p.deceleration, f.balance);
  fold_balance(k, begun, p, f.balance);
  fold_fault(k, tick, settle_ticks, ref, p, c, f);
  fold_recording(ref, limiting, settle_ticks, p, f);
  fold_grip(limiting, p, f.grip);
  f.peak_deceleration = max(f.peak_deceleration, select(begun, p.deceleration, Real(-1e9)));
  const Real front = p.brake_torque[0] + p.brake_torque[1], rear = p.brake_torque[2] + p.brake_torque[3];
  f.front_torque = f.front_torque + front;
  f.all_torque = f.all_torque + (front + rear);
  f.least_authority = min(f.least_authority, p.authority_margin);
  f.saturated_ticks = f.saturated_ticks + p.flow_saturated;
  f.limiter_ticks = f.limiter_ticks + select(limiting, Real(1.0), Real(0.0));
  const auto unasked = f.released_ticks > Real(settle_ticks);
  f.unrequested_pressure =
      max(f.unrequested_pressure, select(unasked, p.pressure[signal::kFront], Real(0.0)));
  const auto braking = (ref.front_demand > Real(kReferenceBraking)) & begun;
  if (motors) fold_blend(k, braking, p, c, f.blend);
  f.braking_ticks = f.braking_ticks + select(braking, Real(1.0), Real(0.0));
  f.braking_distance = f.braking_distance + select(braking, p.distance - f.last_distance, Real(0.0));
  f.braking_speed_loss = f.braking_speed_loss + select(braking, f.last_speed - p.speed, Real(0.0));
  const Real watched = p.speed + p.distance + p.disc[0] + p.disc[2] + p.pressure[0] + p.pressure[1] +
                       p.brake_slip[0] + p.brake_slip[1] + p.brake_slip[2] + p.brake_slip[3];
  f.sound = select((watched - watched) == Real(0.0), f.sound, Real(0.0));
  f.last_speed = p.speed;
  f.last_distance = p.distance;
  f.finish_tick = tick;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::measure
