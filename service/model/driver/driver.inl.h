// The person: moves the controls as recorded or generated, or follows a speed, and regains speed between
// applications. Kernel: included by engine translation units only.
#pragma once

#include "math/dead_time.inl.h"
#include "math/kernel.inl.h"
#include "model/driver/params.h"
#include "signal/ports.h"

namespace brakeward::driver {
inline namespace BRAKEWARD_ISA {

using namespace math;

// What was recorded or generated for this tick.
template <class Real>
struct DriverSample {
  Real hand_travel;       // m; of a driver who follows, what he plans
  Real pedal_force;       // N; as above
  Real target_speed;      // m/s the car is driven to; negative with the accelerator released
  Real line_pressure[2];  // Pa
  Real followed_speed;    // m/s that a driver who follows means to have
};

template <class Real>
inline signal::DriverInput<Real> drive(const DriverParams<Real>& p, const DriverSample<Real>& sample,
                                       Real speed) {
  signal::DriverInput<Real> out;
  out.hand_travel = sample.hand_travel;
  out.pedal_force = sample.pedal_force;
  out.steering = Real(0.0);
  const auto coasting = sample.target_speed < Real(0.0);
  const Real wanted = clamp(p.speed_gain * (sample.target_speed - speed), Real(0.0), p.traction_limit);
  out.traction = select(coasting, Real(0.0), wanted);
  out.coasting = select(coasting, Real(1.0), Real(0.0));
  out.accelerator = Real(0.0);
  for (int a = 0; a < 2; ++a) out.line_pressure[a] = sample.line_pressure[a];
  return out;
}

// The accelerator pressed for at least a share of the greatest traction; and what a sensor at it shows.
template <class Real>
BRAKEWARD_INLINE void press_accelerator(const DriverParams<Real>& p, Real pressed,
                                        signal::DriverInput<Real>& input) {
  input.traction = max(input.traction, pressed * p.traction_limit);
  input.coasting = select(pressed > Real(0.0), Real(0.0), input.coasting);
  const auto drives = p.traction_limit > Real(0.0);
  input.accelerator = select(drives, input.traction / select(drives, p.traction_limit, Real(1.0)), pressed);
}

// What the controller leaves of it; the rest acts as an accelerator that is released.
template <class Real>
BRAKEWARD_INLINE void cut_accelerator(Real left, signal::DriverInput<Real>& input) {
  input.traction = left * input.traction;
  input.coasting = max(input.coasting, 1.0 - left);
}

// A driver who follows a speed.
template <class Real>
struct DriverState {
  Real effort;                          // m or N
  Real braking;                         // 1 while he means to brake, else 0
  DeadTime<Real, kReactionDepth> seen;  // m/s, by how much the car is faster than he means it to be
};

template <class Real>
inline void start(const FollowParams<Real>& p, DriverState<Real>& s) {
  s.effort = s.braking = Real(0.0);
  math::start(p.reaction_ticks, s.seen);
}

// The plan, corrected by the speed he saw a reaction time ago, reaches the control through a first-order lag:
// reaction time and neuromuscular lag as in the precision model of McRuer and Krendel, Mathematical Models of
// Human Pilot Behavior, AGARDograph 188, 1974 (from memory). The plan comes late or early already.
template <class Real>
inline void follow(const FollowParams<Real>& p, long tick, const DriverSample<Real>& sample, Real speed,
                   DriverState<Real>& s, signal::DriverInput<Real>& out) {
  const Real zero = Real(0.0);
  const auto by_pedal = p.by_pedal > Real(0.5);
  const Real planned = select(by_pedal, sample.pedal_force, sample.hand_travel);
  const auto braking = planned > zero;
  const Real seen = delay(tick, select(braking, speed - sample.followed_speed, zero), s.seen);
  const Real wanted = clamp(fma(p.correction, seen, planned), zero, p.limit);
  s.braking = select(braking, Real(1.0), zero);
  s.effort = fma(p.response, select(braking, wanted, zero) - s.effort, s.effort);
  out.hand_travel = select(by_pedal, zero, s.effort);
  out.pedal_force = select(by_pedal, s.effort, zero);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::driver
