// Electric motors and their battery. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/constants.inl.h"
#include "model/plant/params.h"
#include "model/plant/structure.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

inline constexpr double kSlowestMotor = 1e-3;  // rad/s; slower, power limits no torque

template <class Real>
struct MotorState {
  Real followed[signal::kAxles];  // N m, what was asked for behind the lag
  Real torque[signal::kAxles];    // N m, within the limits; sum of both wheels
  Real charge;                    // 1
  Real recovered;                 // J
};

template <class Real>
inline void start_motors(const PlantParams<Real>& car, MotorState<Real>& s) {
  for (int a = 0; a < signal::kAxles; ++a) s.followed[a] = s.torque[a] = Real(0.0);
  s.charge = car.battery.start_charge;
  s.recovered = Real(0.0);
}

// Speed of an axle's motor, as it turns the wheels through a differential: their mean.
template <class Real>
BRAKEWARD_INLINE Real motor_speed(const Real (&wheel_speed)[signal::kWheels], int axle) {
  return 0.5 * (wheel_speed[2 * axle] + wheel_speed[2 * axle + 1]);
}

// What a motor brakes with beyond its torque with the accelerator released, as its electronics know.
template <class Real>
BRAKEWARD_INLINE Real braking_on_demand(const MotorParams<Real>& m, const AxleConstants<Real>& k,
                                        Real coasting, Real speed, Real torque) {
  const Real fade = clamp(speed * k.per_coast_fade, Real(0.0), Real(1.0));
  return max(Real(0.0), -fma(coasting * fade, m.coast, torque));
}

// What motors are asked for: the command, and with the accelerator released a braking torque that fades to
// standstill. First-order lag, T' = (T_asked - T) / lag. Then the limits of the electronics, at once: the
// motor's power |T w| <= P, and what the battery takes, sum of all braking powers <= P_regeneration(charge),
// kept by all motors in proportion.
template <class Real>
BRAKEWARD_INLINE void turn_motors(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                  const PlantStructure& st, const Real (&command)[signal::kAxles],
                                  Real coasting, Real speed, const Real (&turning)[signal::kAxles],
                                  MotorState<Real>& s) {
  Real braking[signal::kAxles];  // W
  for (int a = 0; a < signal::kAxles; ++a) {
    const MotorParams<Real>& m = car.motor[a];
    const Real fade = clamp(speed * k.axle[a].per_coast_fade, Real(0.0), Real(1.0));
    const Real asked = clamp(fma(-coasting * fade, m.coast, command[a]), -m.peak, m.peak);
    s.followed[a] = fma(k.axle[a].motor_approach, asked - s.followed[a], s.followed[a]);
    const Real most = m.power / max(Real(kSlowestMotor), abs(turning[a]));
    s.torque[a] = clamp(s.followed[a], -most, most);
    braking[a] = max(Real(0.0), -s.torque[a] * turning[a]);
  }
  const Real sum = braking[signal::kFront] + braking[signal::kRear];
  const Real taken = evaluate(car.battery.regeneration_limit, st.regeneration_segments, s.charge);
  const Real share = min(Real(1.0), taken / max(Real(1.0), sum));
  for (int a = 0; a < signal::kAxles; ++a)
    s.torque[a] = select((sum > taken) & (braking[a] > Real(0.0)), share * s.torque[a], s.torque[a]);
}

// What the step did to the battery: the power of all motors at the speed midway, less what is lost on the
// way.
template <class Real>
BRAKEWARD_INLINE void charge_battery(const PlantParams<Real>& car, const Real (&speed_before)[signal::kAxles],
                                     const Real (&wheel_speed)[signal::kWheels], Real h,
                                     MotorState<Real>& s) {
  Real given = Real(0.0);  // J at the wheels
  for (int a = 0; a < signal::kAxles; ++a)
    given = fma(0.5 * h * s.torque[a], speed_before[a] + motor_speed(wheel_speed, a), given);
  const BatteryParams<Real>& b = car.battery;
  const auto charging = given < Real(0.0);
  const Real change = select(charging, -given * b.efficiency, -given / b.efficiency);
  s.charge = s.charge + change / b.capacity;
  s.recovered = s.recovered + select(charging, change, Real(0.0));
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
