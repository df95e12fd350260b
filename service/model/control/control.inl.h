// The by-wire controller: one call a tick, sensors in, actuator command out. Kernel: included by engine
// translation units only.
#pragma once

#include "model/control/blend.inl.h"
#include "model/control/hold.inl.h"
#include "model/control/overlap.inl.h"
#include "model/control/power.inl.h"
#include "model/control/pressure.inl.h"
#include "model/control/request.inl.h"
#include "model/control/slip.inl.h"
#include "model/control/supervision.inl.h"
#include "model/control/targets.inl.h"

namespace brakeward::control {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct ControlState {
  RequestControl<Real> request;
  Real pedal_share;  // 1, of the pedal's request in the one that counts, where a selector chooses
  Supervision<Real> supervision;
  SlipControl<Real> slip;
  BlendControl<Real> blend;
  PressureControl<Real> pressure;
  StandstillHold<Real> hold;
  AcceleratorOverlap<Real> overlap;
  PowerUp<Real> power;
};

template <class Real>
inline void start(const ControlParams<Real>& p, Real speed, ControlState<Real>& s) {
  start(s.request);
  s.pedal_share = p.arbitration.start_pedal_share;
  start(speed, s.supervision);
  start(speed, s.slip);
  start(s.blend);
  start(s.pressure);
  start(s.hold);
  start(s.overlap);
  start(s.power);
}

// The demanded mean circuit pressure that hand control and pedal ask for, before rate limits.
template <class Real>
inline Real request_pressure(const ControlParams<Real>& p, const ControlStructure& st,
                             const signal::SensorFrame<Real>& in, ControlState<Real>& s) {
  auto silent = Mask<Real>(false);
  if (st.supervised) silent = in.request_age > p.supervision.request_timeout_ticks;
  Real travel = check_hand(p.request, in, silent, s.request);
  if (st.compensates) travel = compensate_steering(p.request, in.steering, travel, s.request);
  Real force = (in.pedal_volts - p.request.pedal_zero) * p.request.pedal_scale;
  if (st.supervised) force = check_pedal(p.supervision, in.pedal_volts, force, silent, s.supervision);
  const Requests<Real> requests = shape_requests(p.request, st, travel, force, s.request);
  if (st.selects)
    s.pedal_share = change_over(p.arbitration, in.pedal_selected,
                                s.request.excluded[0] + s.request.excluded[1] > Real(1.5),
                                s.supervision.pedal.out > Real(0.5), s.pedal_share);
  return arbitrate(st, requests, s.pedal_share);
}

template <class Real>
inline void watch_slip(const ControlParams<Real>& p, const ControlStructure& st, Mask<Real> asked,
                       const signal::SensorFrame<Real>& in, ControlState<Real>& s) {
  Real read[signal::kWheels];
  for (int w = 0; w < signal::kWheels; ++w) read[w] = p.slip.radius[signal::axle_of(w)] * in.wheel_speed[w];
  if (!st.supervised) return limit_slip(p.slip, st, asked, in.longitudinal_acceleration, read, read, s.slip);
  Real slow[signal::kWheels], fast[signal::kWheels];
  check_wheels(p.supervision, s.slip.reference, read, s.supervision, slow, fast);
  limit_slip(p.slip, st, asked, in.longitudinal_acceleration, slow, fast, s.slip);
}

// The demand that follows from what the driver asks for: held at standstill, within its rates and limit.
template <class Real>
inline Real demand_of(const ControlParams<Real>& p, const ControlStructure& st, Real accelerator,
                      Real asked_for, ControlState<Real>& s) {
  Real wanted = asked_for;
  if (st.holds)
    wanted = hold_at_standstill(p.hold, s.slip.reference, accelerator, asked_for, s.pressure.demand, s.hold);
  Real rise = p.pressure.rise_per_tick;
  if (st.supervised) {
    const Real requests_out = s.request.excluded[0] + s.request.excluded[1] + s.supervision.pedal.out;
    rise = rise_limit(p.supervision, rise, requests_out, wanted, s.pressure.demand, s.supervision);
  }
  return limit_demand(p.pressure, wanted, rise, s.pressure);
}

// A controller as it comes up: it knows the wheels' speeds, and its requests are re-armed as after a fault.
template <class Real>
inline ControlState<Real> restarted(const ControlParams<Real>& p, const Real (&wheel)[signal::kWheels],
                                    Real fastest, const PowerUp<Real>& power) {
  ControlState<Real> out;
  start(p, fastest, out);
  for (int t = 0; t < signal::kHandTracks; ++t) {
    out.request.excluded[t] = Real(1.0);
    out.request.good_ticks[t] = Real(0.0);
  }
  out.supervision.pedal.out = Real(1.0);
  out.supervision.pedal.good_ticks = Real(0.0);
  out.supervision.requests_out = Real(double(signal::kHandTracks) + 1.0);
  for (int w = 0; w < signal::kWheels; ++w)
    out.supervision.wheel_read[w] = out.supervision.wheel_held[w] = wheel[w];
  out.power = power;
  return out;
}

// Puts one part of the state in the place of another.
template <class Real, class Part>
BRAKEWARD_INLINE void replace(Mask<Real> where, const Part& by, Part& part) {
  const Real* from = reinterpret_cast<const Real*>(&by);
  Real* to = reinterpret_cast<Real*>(&part);
  for (unsigned i = 0; i < sizeof part / sizeof(Real); ++i) to[i] = select(where, from[i], to[i]);
}

// While no actuator is driven nothing is asked of anything and there is no demand; while the controller does
// not run it begins anew each tick.
template <class Real>
inline void stay_out(const ControlParams<Real>& p, const signal::SensorFrame<Real>& in, ControlState<Real>& s,
                     signal::ActuatorCommand<Real>& command, signal::ControlSignals<Real>& out) {
  const Real zero = Real(0.0);
  Real wheel[signal::kWheels], fastest = zero;
  for (int w = 0; w < signal::kWheels; ++w) {
    wheel[w] = p.slip.radius[signal::axle_of(w)] * in.wheel_speed[w];
    fastest = max(fastest, wheel[w]);
  }
  const auto is_out = !runs(p.power, in.supply, fastest, s.power);
  const auto idle = leaves_it_to_the_foot(p.power, is_out, s.supervision.pedal.out, s.power);
  if (!any(idle)) return;
  const ControlState<Real> fresh = restarted(p, wheel, fastest, s.power);
  replace<Real>(is_out, fresh, s);
  replace<Real>(idle, fresh.pressure, s.pressure);
  replace<Real>(idle, fresh.blend, s.blend);
  replace<Real>(idle, fresh.hold, s.hold);
  for (Real& pressure : command.pressure) pressure = select(idle, zero, pressure);
  for (Real& pressure : command.wheel_pressure) pressure = select(idle, zero, pressure);
  for (Real& torque : command.motor_torque) torque = select(idle, zero, torque);
  command.accelerator_share = select(is_out, Real(1.0), command.accelerator_share);
  command.awake = select(idle, zero, Real(1.0));
  out.demand = select(idle, zero, out.demand);
  for (Real& target : out.target) target = select(idle, zero, target);
  for (Real& factor : out.slip_factor) factor = select(idle, Real(1.0), factor);
  out.state = select(idle, shown_while_out(s.power), out.state);
}

template <class Real>
inline signal::ActuatorCommand<Real> step_control(const ControlParams<Real>& p, const ControlStructure& st,
                                                  const signal::SensorFrame<Real>& in, ControlState<Real>& s,
                                                  signal::ControlSignals<Real>& out) {
  const Real asked_for = request_pressure(p, st, in, s);
  watch_slip(p, st, (asked_for > Real(0.0)) | (s.pressure.demand > Real(0.0)), in, s);
  out.demand = demand_of(p, st, in.accelerator, asked_for, s);
  // Balance: the selector's front share, trimmed by speed and demand. The mean of both circuits stays the
  // demand.
  const Real share = p.balance.front_share +
                     evaluate(p.balance.speed_trim, st.speed_trim_segments, s.slip.reference) +
                     evaluate(p.balance.demand_trim, st.demand_trim_segments, out.demand);
  const Real front = 2.0 * clamp(share, Real(0.0), Real(1.0)) * out.demand;
  const Real asked[] = {front, 2.0 * out.demand - front};
  Real wheel[signal::kWheels], motor[signal::kAxles];
  for (int w = 0; w < signal::kWheels; ++w) wheel[w] = s.slip.factor[w] * asked[signal::axle_of(w)];
  const Targets<Real> full = targets_of(st, wheel, out.demand, s.slip.factor);
  for (int a = 0; a < signal::kAxles; ++a) {
    out.target[a] = full.axle[a];
    out.slip_factor[a] = min(s.slip.factor[2 * a], s.slip.factor[2 * a + 1]);
  }
  out.reference_speed = s.slip.reference;
  Targets<Real> target = full;
  for (int a = 0; a < signal::kAxles; ++a) motor[a] = Real(0.0);
  if (st.blends) {
    for (int a = 0; a < signal::kAxles; ++a) {
      const Real demand = p.blend.torque_per_pressure[a] * min(wheel[2 * a], wheel[2 * a + 1]);
      motor[a] = -ask_motor(p.blend, demand, s.slip.reference, out.slip_factor[a] < Real(1.0), a, s.blend);
      for (int w = 2 * a; w < 2 * a + 2; ++w)
        wheel[w] = left_to_friction(p.blend, wheel[w], in.motor_braking[a], a);
    }
    target = targets_of(st, wheel, out.demand, s.slip.factor);
  }
  signal::ActuatorCommand<Real> command = command_pressure(p, st, in, target, s.supervision, s.pressure);
  for (int a = 0; a < signal::kAxles; ++a) command.motor_torque[a] = motor[a];
  out.state = s.request.state;
  if (st.supervised) out.state = shown_state(p.supervision, in.supply, out.state, s.supervision);
  if (st.overlaps) {
    command.accelerator_share = overrule(p.overlap, in.accelerator, asked_for, s.overlap);
    const auto shown = (out.state < Real(0.5)) & (s.overlap.overruled > Real(0.5));
    out.state = select(shown, Real(double(signal::kLimited)), out.state);
  }
  if (st.powers_up) stay_out(p, in, s, command, out);
  return command;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::control
