// The by-wire controller: one call a tick, sensors in, actuator command out. Kernel: included by engine
// translation units only.
#pragma once

#include "model/control/pressure.inl.h"
#include "model/control/request.inl.h"
#include "model/control/slip.inl.h"

namespace brakeward::control {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct ControlState {
  RequestControl<Real> request;
  SlipControl<Real> slip;
  PressureControl<Real> pressure;
};

template <class Real>
inline void start(const ControlParams<Real>&, Real speed, ControlState<Real>& s) {
  start(s.request);
  start(speed, s.slip);
  start(s.pressure);
}

template <class Real>
inline signal::ActuatorCommand<Real> step_control(const ControlParams<Real>& p, const ControlStructure& st,
                                                  const signal::SensorFrame<Real>& in, ControlState<Real>& s,
                                                  signal::ControlSignals<Real>& out) {
  const Real travel = check_hand(p.request, in, s.request);
  const Real wanted = shape_requests(p.request, st, in, travel, s.request);
  limit_slip(p.slip, in, s.slip);
  out.demand = limit_demand(p.pressure, wanted, s.pressure);
  // Balance: the selector's front share, trimmed by speed and demand. The mean of both circuits stays the
  // demand.
  const Real share = p.balance.front_share +
                     evaluate(p.balance.speed_trim, st.speed_trim_segments, s.slip.reference) +
                     evaluate(p.balance.demand_trim, st.demand_trim_segments, out.demand);
  const Real front = 2.0 * clamp(share, Real(0.0), Real(1.0)) * out.demand;
  out.target[signal::kFront] = s.slip.factor[signal::kFront] * front;
  out.target[signal::kRear] = s.slip.factor[signal::kRear] * (2.0 * out.demand - front);
  for (int a = 0; a < signal::kAxles; ++a) out.slip_factor[a] = s.slip.factor[a];
  out.reference_speed = s.slip.reference;
  out.state = s.request.state;
  signal::ActuatorCommand<Real> command =
      command_pressure(p.pressure, in, out.target, s.slip.factor, s.pressure);
  for (int a = 0; a < signal::kAxles; ++a) command.motor_torque[a] = Real(0.0);
  return command;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::control
