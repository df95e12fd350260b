// The person: moves the controls as recorded or generated, and regains speed between applications. Kernel:
// included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/driver/params.h"
#include "signal/ports.h"

namespace brakeward::driver {
inline namespace BRAKEWARD_ISA {

using namespace math;

// What was recorded or generated for this tick.
template <class Real>
struct DriverSample {
  Real hand_travel;       // m
  Real pedal_force;       // N
  Real target_speed;      // m/s the car is driven to; negative with the accelerator released
  Real line_pressure[2];  // Pa
};

template <class Real>
inline signal::DriverInput<Real> drive(const DriverParams<Real>& p, const DriverSample<Real>& sample,
                                       Real speed) {
  signal::DriverInput<Real> out;
  out.hand_travel = sample.hand_travel;
  out.pedal_force = sample.pedal_force;
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

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::driver
