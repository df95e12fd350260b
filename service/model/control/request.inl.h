// Controller steps 1 to 3: check the sensors, shape the requests, arbitrate. Kernel: included by engine
// translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/control/params.h"
#include "model/control/structure.h"

namespace brakeward::control {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct RequestControl {
  Real held[signal::kHandTracks];        // m, last plausible travel
  Real bad_ticks[signal::kHandTracks];   // ticks without a plausible sample
  Real good_ticks[signal::kHandTracks];  // ticks since the last implausible sample
  Real excluded[signal::kHandTracks];    // 1 once debounced, until re-armed
  Real released_ticks;
  Real hand_play;     // m, output of the play operator
  Real hand_smooth;   // m
  Real pedal_smooth;  // N
  Real state;         // signal::RequestState
};

template <class Real>
inline void start(RequestControl<Real>& s) {
  for (int t = 0; t < signal::kHandTracks; ++t) {
    s.held[t] = s.bad_ticks[t] = s.excluded[t] = Real(0.0);
    s.good_ticks[t] = Real(1e9);
  }
  s.released_ticks = s.hand_play = s.hand_smooth = s.pedal_smooth = Real(0.0);
  s.state = Real(double(signal::kReady));
}

// Range, track difference, debounce, exclusion, re-arming. An implausible track keeps its last plausible
// value while it is debounced; a debounced one is excluded until both it and the released control have been
// good for long enough. While no messages come (`silent`) both are excluded at once. Returns the travel in
// use: the mean of the tracks, the one that is left, or zero.
template <class Real>
inline Real check_hand(const RequestParams<Real>& p, const signal::SensorFrame<Real>& in, Mask<Real> silent,
                       RequestControl<Real>& s) {
  const Real one = Real(1.0), zero = Real(0.0);
  Real travel[signal::kHandTracks];
  Mask<Real> in_range[signal::kHandTracks];
  for (int t = 0; t < signal::kHandTracks; ++t) {
    const Real volts = in.hand_volts[t];
    in_range[t] = (volts >= p.volts_minimum) & (volts <= p.volts_maximum);
    travel[t] = (volts - p.hand_zero[t]) * p.hand_scale[t];
  }
  const auto differ = in_range[0] & in_range[1] & (abs(travel[0] - travel[1]) > p.track_difference);
  Real seen = Real(-1.0);
  for (int t = 0; t < signal::kHandTracks; ++t) {
    const auto plausible = in_range[t] & !differ & !silent;
    s.held[t] = select(plausible, travel[t], s.held[t]);
    s.bad_ticks[t] = select(plausible, zero, s.bad_ticks[t] + one);
    s.good_ticks[t] = select(plausible, s.good_ticks[t] + one, zero);
    seen = max(seen, select(plausible, travel[t], Real(-1.0)));
  }
  const auto released = (seen > Real(-0.5)) & (seen < p.released_below);
  s.released_ticks = select(released, s.released_ticks + one, zero);
  const auto let_go = s.released_ticks >= p.rearm_released_ticks;
  Real sum = zero, count = zero, waiting = zero;
  for (int t = 0; t < signal::kHandTracks; ++t) {
    const auto rearm = (s.good_ticks[t] >= p.rearm_plausible_ticks) & let_go;
    const auto exclude = (s.bad_ticks[t] > p.debounce_ticks) | silent;
    s.excluded[t] = select(exclude, one, select(rearm, zero, s.excluded[t]));
    const auto out = s.excluded[t] > Real(0.5);
    sum = sum + select(out, zero, s.held[t]);
    count = count + select(out, zero, one);
    waiting = max(waiting, select(out & (s.good_ticks[t] > zero), one, zero));
  }
  const Real faulty = select(count > Real(0.5), Real(double(signal::kLimited)), Real(double(signal::kLost)));
  const Real state = select(waiting > Real(0.5), Real(double(signal::kRearming)), faulty);
  s.state = select(count > Real(1.5), Real(double(signal::kReady)), state);
  return sum * select(count > 1.5, Real(0.5), one);
}

// Takes off what the steering wheel adds to the travel; a request that is lost stays zero.
template <class Real>
BRAKEWARD_INLINE Real compensate_steering(const RequestParams<Real>& p, Real steering, Real travel,
                                          const RequestControl<Real>& s) {
  const auto lost = s.excluded[0] + s.excluded[1] > Real(1.5);
  return select(lost, travel, fma(-p.steering_compensation, steering, travel));
}

// Demanded mean circuit pressures, Pa.
template <class Real>
struct Requests {
  Real hand, pedal;
};

// Play (hysteresis), low-pass, dead band, feel curve for the hand; low-pass, dead band, feel curve for the
// pedal.
template <class Real>
inline Requests<Real> shape_requests(const RequestParams<Real>& p, const ControlStructure& st, Real travel,
                                     Real force, RequestControl<Real>& s) {
  const Real half_play = 0.5 * p.hand_play;
  s.hand_play = clamp(s.hand_play, travel - half_play, travel + half_play);
  s.hand_smooth = fma(p.hand_smoothing, s.hand_play - s.hand_smooth, s.hand_smooth);
  const Real hand_stroke = max(Real(0.0), s.hand_smooth - p.hand_dead_band);
  const auto limited = (s.excluded[0] + s.excluded[1]) > Real(0.5);
  const Real share = select(limited, p.limited_share, Real(1.0));
  const Real hand = share * evaluate(p.hand_feel, st.hand_segments, hand_stroke);
  s.pedal_smooth = fma(p.pedal_smoothing, force - s.pedal_smooth, s.pedal_smooth);
  const Real pedal_stroke = max(Real(0.0), s.pedal_smooth - p.pedal_dead_band);
  return {hand, evaluate(p.pedal_feel, st.pedal_segments, pedal_stroke)};
}

// The share of the pedal's request that counts: all or nothing as the selector says, and over to the other
// control while the selected one is lost; in between a ramp.
template <class Real>
BRAKEWARD_INLINE Real change_over(const ArbitrationParams<Real>& p, Real pedal_selected, Mask<Real> hand_lost,
                                  Mask<Real> pedal_lost, Real pedal_share) {
  const Real hand_wins = select(pedal_lost, Real(0.0), Real(1.0)),
             pedal_wins = select(hand_lost, Real(1.0), Real(0.0));
  const Real wanted = select(pedal_selected > Real(0.5), hand_wins, pedal_wins);
  return clamp(wanted, pedal_share - p.change_per_tick, pedal_share + p.change_per_tick);
}

// The larger request or, where a selector chooses, a mean of both weighted by the share; never their sum.
template <class Real>
BRAKEWARD_INLINE Real arbitrate(const ControlStructure& st, const Requests<Real>& requests,
                                Real pedal_share) {
  if (!st.selects) return max(requests.hand, requests.pedal);
  return fma(pedal_share, requests.pedal - requests.hand, requests.hand);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::control
