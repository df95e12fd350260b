// The folds of a launch and of braking with motors. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "measure/folds.h"
#include "signal/onset.h"
#include "signal/ports.h"

namespace brakeward::measure {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
inline void start(LaunchFolds<Real>& f) {
  f.launched_tick = f.released_tick = Real(-1.0);
}

// Until a car that stood is driven on there is nothing to fold.
template <class Real>
inline void fold_launch(Real tick, Mask<Real> stood, Real traction, const signal::PlantSignals<Real>& p,
                        LaunchFolds<Real>& f) {
  const Real zero = Real(0.0);
  const auto driven = stood & (traction > zero);
  if (!any(driven)) return;
  f.launched_tick = select(driven & (f.launched_tick < zero), tick, f.launched_tick);
  const auto free = max(p.pressure[0], p.pressure[1]) < Real(signal::kOnsetPressure);
  f.released_tick = select(driven & free & (f.released_tick < zero), tick, f.released_tick);
  Real power[signal::kWheels];
  for (int w = 0; w < signal::kWheels; ++w) power[w] = p.brake_torque[w] * abs(p.wheel_speed[w]);
  const Real all = (power[0] + power[1]) + (power[2] + power[3]);
  f.drag = f.drag + select(driven, all, zero);
}

// What friction and motor give together, as pressure, less what was asked of the axle.
template <class Real>
inline void fold_blend(const FoldParams<Real>& k, Mask<Real> braking, const signal::PlantSignals<Real>& p,
                       const signal::ControlSignals<Real>& c, BlendFolds<Real>& f) {
  for (int a = 0; a < signal::kAxles; ++a) {
    const Real given = fma(-k.pressure_per_torque[a], p.motor_torque[a], p.pressure[a]);
    const Real error = select(braking, given - c.target[a], Real(0.0));
    f.error_square[a] = fma(error, error, f.error_square[a]);
  }
  f.recovered = p.energy_recovered;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::measure
