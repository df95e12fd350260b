// What the sensors make of the truth. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/constants.inl.h"
#include "model/plant/params.h"
#include "signal/ports.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

// Rounded to the nearest multiple of step; unchanged for step 0 (and so per_step 0).
template <class Real>
BRAKEWARD_INLINE Real quantize(Real x, Real step, Real per_step) {
  return select(step > Real(0.0), round_to_even(x * per_step) * step, x);
}

template <class Real>
BRAKEWARD_INLINE signal::SensorFrame<Real> read_sensors(const PlantParams<Real>& car,
                                                        const PlantConstants<Real>& k,
                                                        const signal::DriverInput<Real>& driver,
                                                        const signal::FaultEffects<Real>& fault,
                                                        const signal::PlantSignals<Real>& plant) {
  const SensorParams<Real>& p = car.sensor;
  signal::SensorFrame<Real> frame;
  const Real travel = clamp(driver.hand_travel, Real(0.0), p.hand_limit);
  for (int t = 0; t < signal::kHandTracks; ++t) {
    const Real volts = fma(p.hand_slope[t], travel, p.hand_zero[t]);
    const Real faulty = fma(fault.hand_gain[t], volts, fault.hand_offset[t]);
    frame.hand_volts[t] = quantize(clamp(faulty, Real(0.0), Real(5.0)), p.voltage_step, k.per_voltage_step);
  }
  const Real pedal = fma(p.pedal_slope, driver.pedal_force, p.pedal_zero);
  frame.pedal_volts = quantize(clamp(pedal, Real(0.0), Real(5.0)), p.voltage_step, k.per_voltage_step);
  for (int w = 0; w < signal::kWheels; ++w)
    frame.wheel_speed[w] = quantize(plant.wheel_speed[w], p.wheel_speed_step, k.per_wheel_speed_step);
  for (int a = 0; a < signal::kAxles; ++a)
    frame.pressure[a] = quantize(plant.pressure[a], p.pressure_step, k.per_pressure_step);
  return frame;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
