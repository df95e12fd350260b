// Controller step 7: demand limits and pressure control. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/control/params.h"
#include "model/control/structure.h"
#include "model/control/supervision.inl.h"
#include "model/control/targets.inl.h"

namespace brakeward::control {
inline namespace BRAKEWARD_ISA {

using namespace math;

inline constexpr double kBraking = 1e5;  // Pa, demand above which a brake application counts as begun

template <class Real>
struct PressureControl {
  Real demand;                    // Pa, after limits
  Real integral[signal::kAxles];  // Pa
  Real prefill_ticks;             // ticks since the demand rose above kBraking
};

template <class Real>
inline void start(PressureControl<Real>& s) {
  s.demand = Real(0.0);
  s.prefill_ticks = Real(0.0);
  for (int a = 0; a < signal::kAxles; ++a) s.integral[a] = Real(0.0);
}

// Rise, fall and absolute limit of the demanded mean pressure.
template <class Real>
inline Real limit_demand(const PressureParams<Real>& p, Real wanted, Real rise_per_tick,
                         PressureControl<Real>& s) {
  const Real bounded = min(wanted, p.demand_limit);
  s.demand = clamp(bounded, s.demand - p.fall_per_tick, s.demand + rise_per_tick);
  s.prefill_ticks = select(s.demand > Real(kBraking), s.prefill_ticks + 1.0, Real(0.0));
  return s.demand;
}

// Feed-forward of the target plus PI on the pressure error, and a prefill at onset that closes the pad
// clearance. The integral is clamped, does not move while the slip limiter acts, and is emptied when the
// target is. A circuit whose pressure is not trusted has the feed-forward alone.
template <class Real>
inline signal::ActuatorCommand<Real> command_pressure(
    const ControlParams<Real>& all, const ControlStructure& st, const signal::SensorFrame<Real>& in,
    const Targets<Real>& target, Supervision<Real>& supervision, PressureControl<Real>& s) {
  const PressureParams<Real>& p = all.pressure;
  signal::ActuatorCommand<Real> out;
  const auto filling = (s.prefill_ticks > Real(0.0)) & (s.prefill_ticks <= p.prefill_ticks);
  for (int a = 0; a < signal::kAxles; ++a) {
    const Real wanted = target.circuit[a];
    const auto idle = wanted <= Real(0.0);
    const Real measured = wanted - in.pressure[a];
    const Real used = st.supervised ? trust(all.supervision, measured, a, supervision) : Real(1.0);
    const Real error = st.supervised ? used * measured : measured;
    const Real moved =
        clamp(fma(p.integral_per_tick, error, s.integral[a]), -p.integral_limit, p.integral_limit);
    s.integral[a] = select(idle, Real(0.0), select(target.factor[a] < Real(1.0), s.integral[a], moved));
    const Real integral = st.supervised ? used * s.integral[a] : s.integral[a];
    const Real controlled = max(Real(0.0), fma(p.proportional, error, wanted + integral));
    const Real command = select(filling, max(controlled, p.prefill), controlled);
    out.pressure[a] = select(idle, Real(0.0), command);
  }
  for (int w = 0; w < signal::kWheels; ++w) {
    out.wheel_pressure[w] = Real(0.0);
    if (st.wheel_valves)
      out.wheel_pressure[w] = select(filling, max(target.wheel[w], p.prefill), target.wheel[w]);
  }
  out.accelerator_share = out.awake = Real(1.0);
  return out;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::control
