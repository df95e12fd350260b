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
  for (int a = 0; a < 2; ++a) out.line_pressure[a] = sample.line_pressure[a];
  return out;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::driver
