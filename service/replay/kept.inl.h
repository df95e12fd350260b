// What stays in brakes, actuators and controller from one leg of a stint to the next. Kernel: included by
// engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/control/control.inl.h"
#include "model/plant/plant.inl.h"
#include "model/plant/sensors.inl.h"
#include "replay/engine.h"

namespace brakeward::replay {
inline namespace BRAKEWARD_ISA {

using namespace math;

// Scalars only, copied lane by lane. Road, speed, slip and load transfer are those of the next leg; messages
// and commands on their way are lost, and the valves' travel with them.
template <class Real>
struct Kept {
  plant::HeatState<Real> heat[signal::kWheels];
  plant::PadState<Real> pad[signal::kWheels];
  Real vapour[signal::kWheels];
  plant::HydraulicState<Real> hydraulics;
  plant::MotorState<Real> motors;
  plant::SensorState<Real> sensors;
  control::ControlState<Real> control;
  Real pressure[signal::kAxles], line_pressure[signal::kAxles];  // Pa, as last seen
};

static_assert(sizeof(Kept<double>) <= sizeof(KeptState));

template <class Real>
inline void keep(const plant::PlantState<Real>& car, const plant::SensorState<Real>& sensors,
                 const control::ControlState<Real>& control, const signal::PlantSignals<Real>& seen,
                 Kept<Real>& out) {
  for (int w = 0; w < signal::kWheels; ++w) {
    out.heat[w] = car.heat[w];
    out.pad[w] = car.pad[w];
    out.vapour[w] = car.vapour[w];
  }
  out.hydraulics = car.hydraulics;
  out.motors = car.motors;
  out.sensors = sensors;
  out.control = control;
  for (int a = 0; a < signal::kAxles; ++a) {
    out.pressure[a] = seen.pressure[a];
    out.line_pressure[a] = seen.line_pressure[a];
  }
}

// Onto states that have been started. The controller knows the speed of the leg at once: between legs the car
// was driven there without braking.
template <class Real>
inline void take_over(const Kept<Real>& kept, Real speed, plant::PlantState<Real>& car,
                      plant::SensorState<Real>& sensors, control::ControlState<Real>& control,
                      signal::PlantSignals<Real>& seen) {
  Real knock_back[signal::kWheels];
  for (int w = 0; w < signal::kWheels; ++w) {
    car.heat[w] = kept.heat[w];
    car.pad[w] = kept.pad[w];
    car.vapour[w] = kept.vapour[w];
    knock_back[w] = car.hydraulics.knock_back[w];
  }
  car.hydraulics = kept.hydraulics;
  for (int w = 0; w < signal::kWheels; ++w) car.hydraulics.knock_back[w] = knock_back[w];
  car.motors = kept.motors;
  sensors = kept.sensors;
  const auto slip = control.slip;
  control = kept.control;
  control.slip = slip;
  for (int w = 0; w < signal::kWheels; ++w) {
    control.supervision.wheel_read[w] = control.supervision.wheel_held[w] = speed;
    control.supervision.wheel_lost[w] = Real(0.0);
  }
  for (int a = 0; a < signal::kAxles; ++a) {
    seen.pressure[a] = kept.pressure[a];
    seen.line_pressure[a] = kept.line_pressure[a];
    seen.motor_torque[a] = kept.motors.torque[a];
  }
  seen.battery_charge = kept.motors.charge;
  seen.energy_recovered = kept.motors.recovered;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::replay
