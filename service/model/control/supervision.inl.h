// Controller step 8: checks besides those of the hand control's tracks, and what the driver is shown. Kernel:
// included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/control/params.h"

namespace brakeward::control {
inline namespace BRAKEWARD_ISA {

using namespace math;

// Something that is checked each tick: left out once it has been bad for longer than the debounce, trusted
// again once it has been good for long enough.
template <class Real>
struct Watch {
  Real bad_ticks;   // without a good sample
  Real good_ticks;  // since the last bad one
  Real out;         // 1 while left out, else 0
};

template <class Real>
inline void start(Watch<Real>& s) {
  s.bad_ticks = s.out = Real(0.0);
  s.good_ticks = Real(1e9);
}

// `again`: it may be trusted again. Returns whether it is left out.
template <class Real>
BRAKEWARD_INLINE Mask<Real> watch(Mask<Real> bad, Real debounce_ticks, Real plausible_ticks, Mask<Real> again,
                                  Watch<Real>& s) {
  s.bad_ticks = select(bad, s.bad_ticks + 1.0, Real(0.0));
  s.good_ticks = select(bad, Real(0.0), s.good_ticks + 1.0);
  const Real kept = select((s.good_ticks >= plausible_ticks) & again, Real(0.0), s.out);
  s.out = select(s.bad_ticks > debounce_ticks, Real(1.0), kept);
  return s.out > Real(0.5);
}

template <class Real>
struct Supervision {
  Watch<Real> pedal;
  Real pedal_force;     // N, last plausible
  Real released_ticks;  // of the pedal
  Watch<Real> wheel[signal::kWheels];
  Real wheel_read[signal::kWheels];  // m/s, last
  Real wheel_held[signal::kWheels];  // m/s, last plausible
  Real wheel_lost[signal::kWheels];  // 1 from an impossible fall until it reads as the others do
  Watch<Real> circuit[signal::kAxles];
  Real feedback[signal::kAxles];  // 1, share of the pressure feedback that is used
  Watch<Real> supply;
  Real requests_out;  // hand tracks and pedals left out in the tick before
  Real rearmed;       // 1 from re-arming until the demand has caught up with the request
};

template <class Real>
inline void start(Real speed, Supervision<Real>& s) {
  start(s.pedal);
  start(s.supply);
  s.pedal_force = s.released_ticks = s.requests_out = s.rearmed = Real(0.0);
  for (int w = 0; w < signal::kWheels; ++w) {
    start(s.wheel[w]);
    s.wheel_read[w] = s.wheel_held[w] = speed;
    s.wheel_lost[w] = Real(0.0);
  }
  for (int a = 0; a < signal::kAxles; ++a) {
    start(s.circuit[a]);
    s.feedback[a] = Real(1.0);
  }
}

// Range of the pedal's track, and whether messages come. An implausible force keeps its last plausible value
// while it is debounced; then the pedal is left out until it has been plausible and released for long enough.
template <class Real>
inline Real check_pedal(const SupervisionParams<Real>& p, Real volts, Real force, Mask<Real> silent,
                        Supervision<Real>& s) {
  const auto plausible = (volts >= p.pedal_minimum) & (volts <= p.pedal_maximum) & !silent;
  s.pedal_force = select(plausible, force, s.pedal_force);
  const auto released = plausible & (force < p.pedal_released_below);
  s.released_ticks = select(released, s.released_ticks + 1.0, Real(0.0));
  const Real debounce = select(silent, Real(0.0), p.debounce_ticks);
  const auto out =
      watch(!plausible, debounce, p.plausible_ticks, s.released_ticks >= p.released_ticks, s.pedal);
  return select(out, Real(0.0), s.pedal_force);
}

// Speeds of the wheels' circumferences, m/s; a wheel left out is given as 0 in `fast` and as very fast in
// `slow`, so that neither the fastest nor the slowest wheel can be it.
template <class Real>
inline void check_wheels(const SupervisionParams<Real>& p, Real reference,
                         const Real (&read)[signal::kWheels], Supervision<Real>& s,
                         Real (&slow)[signal::kWheels], Real (&fast)[signal::kWheels]) {
  const auto always = Mask<Real>(true);
  for (int w = 0; w < signal::kWheels; ++w) {
    const auto far_below = read[w] < p.wheel_share * reference;
    const auto fell = s.wheel_read[w] - read[w] > p.wheel_drop_per_tick;
    s.wheel_lost[w] = select(far_below, select(fell, Real(1.0), s.wheel_lost[w]), Real(0.0));
    s.wheel_read[w] = read[w];
    const auto lost = s.wheel_lost[w] > Real(0.5);
    s.wheel_held[w] = select(lost, s.wheel_held[w], read[w]);
    const auto out = watch(lost, p.debounce_ticks, p.plausible_ticks, always, s.wheel[w]);
    slow[w] = select(out, Real(1e9), s.wheel_held[w]);
    fast[w] = select(out, Real(0.0), s.wheel_held[w]);
  }
}

// The share of the pressure feedback that is used: it fades where pressure stays off its target, and comes
// back as slowly, so that the command makes no step.
template <class Real>
BRAKEWARD_INLINE Real trust(const SupervisionParams<Real>& p, Real error, int a, Supervision<Real>& s) {
  const auto out = watch(abs(error) > p.pressure_error, p.pressure_error_ticks, p.plausible_ticks,
                         Mask<Real>(true), s.circuit[a]);
  const Real change = select(out, -p.feedback_per_tick, p.feedback_per_tick);
  s.feedback[a] = clamp(s.feedback[a] + change, Real(0.0), Real(1.0));
  return s.feedback[a];
}

// The rise limit in force: a slower one from re-arming until the demand has caught up.
template <class Real>
inline Real rise_limit(const SupervisionParams<Real>& p, Real rise_per_tick, Real requests_out, Real wanted,
                       Real demand, Supervision<Real>& s) {
  const auto caught_up = (wanted > Real(0.0)) & (demand >= wanted);
  const Real still = select(caught_up, Real(0.0), s.rearmed);
  s.rearmed = select(requests_out < s.requests_out, Real(1.0), still);
  s.requests_out = requests_out;
  return select(s.rearmed > Real(0.5), p.rearm_rise_per_tick, rise_per_tick);
}

// What the driver is shown: the state of the hand control's request, unless that is ready and something else
// is left out.
template <class Real>
inline Real shown_state(const SupervisionParams<Real>& p, Real supply, Real hand_state,
                        Supervision<Real>& s) {
  watch(supply < p.supply_minimum, p.debounce_ticks, p.plausible_ticks, Mask<Real>(true), s.supply);
  Real out = s.supply.out;
  for (int w = 0; w < signal::kWheels; ++w) out = max(out, s.wheel[w].out);
  for (int a = 0; a < signal::kAxles; ++a) out = max(out, s.circuit[a].out);
  const auto waiting = (s.pedal.out > Real(0.5)) & (s.pedal.good_ticks > Real(0.0));
  const Real pedal = select(waiting, Real(double(signal::kRearming)), Real(double(signal::kLimited)));
  const Real other = select(out > Real(0.5), Real(double(signal::kLimited)), Real(double(signal::kReady)));
  const Real shown = select(s.pedal.out > Real(0.5), pedal, other);
  return select(hand_state < Real(0.5), shown, hand_state);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::control
