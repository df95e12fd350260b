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

// What sensors showed last while they were not stuck.
template <class Real>
struct SensorState {
  Real hand_volts[signal::kHandTracks];  // V
  Real pedal_volts;                      // V
  Real pressure[signal::kAxles];         // Pa
};

template <class Real>
inline void start(const SensorParams<Real>& p, SensorState<Real>& s) {
  for (int t = 0; t < signal::kHandTracks; ++t) s.hand_volts[t] = p.hand_zero[t];
  s.pedal_volts = p.pedal_zero;
  for (int a = 0; a < signal::kAxles; ++a) s.pressure[a] = Real(0.0);
}

template <class Real>
BRAKEWARD_INLINE void stick(Real stuck, Real& kept, Real& now) {
  now = select(stuck > Real(0.5), kept, now);
  kept = now;
}

// `failing`: besides the gain and offset of the hand's tracks, sensors of this batch may fail.
template <class Real>
BRAKEWARD_INLINE signal::SensorFrame<Real> read_sensors(const PlantParams<Real>& car,
                                                        const PlantConstants<Real>& k, bool failing,
                                                        const signal::DriverInput<Real>& driver,
                                                        const signal::FaultEffects<Real>& fault,
                                                        const signal::PlantSignals<Real>& plant,
                                                        SensorState<Real>& s) {
  const SensorParams<Real>& p = car.sensor;
  signal::SensorFrame<Real> frame;
  const Real travel =
      fma(car.hand_shift, driver.steering, clamp(driver.hand_travel, Real(0.0), p.hand_limit));
  for (int t = 0; t < signal::kHandTracks; ++t) {
    const Real volts = fma(p.hand_slope[t], travel, p.hand_zero[t]);
    const Real faulty = fma(fault.hand_gain[t], volts, fault.hand_offset[t]);
    frame.hand_volts[t] = quantize(clamp(faulty, Real(0.0), Real(5.0)), p.voltage_step, k.per_voltage_step);
  }
  Real pedal = fma(p.pedal_slope, driver.pedal_force, p.pedal_zero);
  if (failing) pedal = fma(fault.pedal_gain, pedal, fault.pedal_offset);
  frame.pedal_volts = quantize(clamp(pedal, Real(0.0), Real(5.0)), p.voltage_step, k.per_voltage_step);
  frame.steering = driver.steering;
  for (int w = 0; w < signal::kWheels; ++w)
    frame.wheel_speed[w] = quantize(plant.wheel_speed[w], p.wheel_speed_step, k.per_wheel_speed_step);
  for (int a = 0; a < signal::kAxles; ++a) {
    const Real pressure =
        failing ? plant.line_pressure[a] + fault.pressure_offset[a] : plant.line_pressure[a];
    frame.pressure[a] = quantize(pressure, p.pressure_step, k.per_pressure_step);
  }
  frame.pedal_selected = fault.pedal_selected;
  frame.request_age = Real(0.0);
  frame.supply = fault.supply;
  frame.accelerator = driver.accelerator;
  frame.longitudinal_acceleration = Real(0.0);
  if (!failing) return frame;
  for (int t = 0; t < signal::kHandTracks; ++t)
    stick(fault.hand_stuck[t], s.hand_volts[t], frame.hand_volts[t]);
  stick(fault.pedal_stuck, s.pedal_volts, frame.pedal_volts);
  for (int a = 0; a < signal::kAxles; ++a) stick(fault.pressure_stuck[a], s.pressure[a], frame.pressure[a]);
  for (int w = 0; w < signal::kWheels; ++w)
    frame.wheel_speed[w] = select(fault.speed_lost[w] > Real(0.5), Real(0.0), frame.wheel_speed[w]);
  return frame;
}

// `deceleration` of the tick before, m/s^2; `grade` 1, rise over run where the car is; `offset` m/s^2, of a
// fault.
template <class Real>
BRAKEWARD_INLINE Real read_acceleration(const SensorParams<Real>& p, const PlantConstants<Real>& k,
                                        Real deceleration, Real grade, Real offset) {
  const Real along = grade / sqrt(fma(grade, grade, Real(1.0)));
  const Real felt = fma(Real(kGravity), along, -deceleration) + (p.acceleration_offset + offset);
  return quantize(felt, p.acceleration_step, k.per_acceleration_step);
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
