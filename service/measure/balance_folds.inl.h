// The folds of balance and grip. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "measure/folds.h"
#include "signal/ports.h"

namespace brakeward::measure {
inline namespace BRAKEWARD_ISA {

using namespace math;

// The brakes work while the front circuit has this share of the 90 % level: half of the reference's peak.
inline constexpr double kWorkingShare = 0.5 / 0.9;
inline constexpr double kSlipJudgedAbove = 2.0;  // m/s
inline constexpr double kLockJudgedAbove =
    15.0 / 3.6;  // m/s; UN R13-H, wheel lock is allowed below 15 km/h (memory)

template <class Real>
inline void start(BalanceFolds<Real>& f) {
  f.least_share = Real(1.0);
  f.lock_tick[0] = f.lock_tick[1] = Real(-1.0);
}

// Torque over rolling radius is force. The ideal distribution brakes each axle in proportion to its load.
template <class Real>
inline void fold_balance(const FoldParams<Real>& k, Mask<Real> begun, const signal::PlantSignals<Real>& p,
                         BalanceFolds<Real>& f) {
  const Real front = p.brake_torque[0] + p.brake_torque[1];
  const Real all = front + (p.brake_torque[2] + p.brake_torque[3]);
  const auto most = begun & (all > f.peak_torque);
  f.peak_torque = select(most, all, f.peak_torque);
  f.front_at_peak = select(most, front, f.front_at_peak);
  const auto works =
      begun & (all > Real(0.0)) & (p.pressure[signal::kFront] >= kWorkingShare * k.pressure_level[3]);
  if (!any(works)) return;
  const Real share = front / select(works, all, Real(1.0));
  f.least_share = min(f.least_share, select(works, share, Real(1.0)));
  f.most_share = max(f.most_share, select(works, share, Real(0.0)));
  const Real front_force = front * k.rolling_radius[signal::kRear];
  const Real force = fma(all - front, k.rolling_radius[signal::kFront], front_force);
  const Real front_load = p.wheel_load[0] + p.wheel_load[1];
  const Real load = front_load + (p.wheel_load[2] + p.wheel_load[3]);
  const Real over = fma(front_force, load, -front_load * force) / select(works, force * load, Real(1.0));
  f.over_ideal = f.over_ideal + select(works, over, Real(0.0));
  f.working_ticks = f.working_ticks + select(works, Real(1.0), Real(0.0));
}

// Which axle locks first. `locked`: ticks with a locked wheel so far. Few ticks have a first one.
template <class Real>
inline void fold_first_lock(const Real (&locked)[2], Real tick, Real deceleration, BalanceFolds<Real>& f) {
  const Real zero = Real(0.0);
  const auto none = (f.lock_tick[0] < zero) & (f.lock_tick[1] < zero);
  const auto now =
      ((f.lock_tick[0] < zero) & (locked[0] > zero)) | ((f.lock_tick[1] < zero) & (locked[1] > zero));
  if (!any(now)) return;
  f.lock_deceleration = select(now & none, deceleration, f.lock_deceleration);
  for (int a = 0; a < signal::kAxles; ++a)
    f.lock_tick[a] = select((f.lock_tick[a] < zero) & (locked[a] > zero), tick, f.lock_tick[a]);
}

template <class Real>
inline void fold_grip(Mask<Real> limiting, const signal::PlantSignals<Real>& p, GripFolds<Real>& f) {
  const Real zero = Real(0.0);
  const auto beyond = (p.speed > Real(kSlipJudgedAbove)) & (p.beyond_peak > Real(0.5));
  f.beyond_ticks = f.beyond_ticks + select(beyond, Real(1.0), zero);
  f.unmet_lateral = max(f.unmet_lateral, abs(p.lateral_unmet));
  f.yaw_moment = max(f.yaw_moment, abs(p.yaw_unmet));
  const auto limited = limiting & (p.speed > Real(kLockJudgedAbove));
  if (!any(limited)) return;
  const Real force = (p.contact_force[0] + p.contact_force[1]) + (p.contact_force[2] + p.contact_force[3]);
  f.limited_force = f.limited_force - select(limited, force, zero);
  f.limited_grip = f.limited_grip + select(limited, p.grip, zero);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::measure
