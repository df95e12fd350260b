#include "compile/curve.h"
#include "compile/parts.h"
#include "compile/units.h"

namespace brakeward::compile {
namespace {

plant::DifferentialParams<double> differential(const v1::Differential& d) {
  return {d.preload_nm(), d.locking_percent() * kPercent};
}

constexpr double kKilowatt = 1e3;        // W
constexpr double kKilowattHour = 3.6e6;  // J

// Without a motor all is zero but what is divided by.
plant::MotorParams<double> motor(bool is_given, const v1::Motor& m) {
  if (!is_given) return {0, 0, 1, 0, 1};
  return {m.peak_torque_nm(), m.power_limit_kw() * kKilowatt, m.lag_ms() * kMilli, m.coast_torque_nm(),
          m.coast_fade_kph() * kKph};
}

}  // namespace

bool drives_front(const v1::Driveline& d) {
  return d.layout() != v1::DRIVE_LAYOUT_REAR || d.has_front_motor();
}
bool drives_rear(const v1::Driveline& d) {
  return d.layout() != v1::DRIVE_LAYOUT_FRONT || d.has_rear_motor();
}

void driveline(const v1::Driveline& d, plant::PlantParams<double>& out, plant::PlantStructure& st) {
  const bool front = d.layout() != v1::DRIVE_LAYOUT_REAR, rear = d.layout() != v1::DRIVE_LAYOUT_FRONT;
  const double share = front && rear ? 0.25 : 0.5;
  out.driven_share[signal::kFront] = front ? share : 0;
  out.driven_share[signal::kRear] = rear ? share : 0;
  out.engine_braking = d.engine_braking_nm();
  out.engine_braking_fade = d.engine_braking_fade_kph() * kKph;
  out.traction_limit = d.traction_limit_n();
  out.differential[signal::kFront] = differential(d.front_differential());
  out.differential[signal::kRear] = differential(d.rear_differential());
  out.motor[signal::kFront] = motor(d.has_front_motor(), d.front_motor());
  out.motor[signal::kRear] = motor(d.has_rear_motor(), d.rear_motor());
  st.motors = d.has_front_motor() || d.has_rear_motor();
  out.battery.capacity = st.motors ? d.battery().capacity_kwh() * kKilowattHour : 1;
  out.battery.efficiency = st.motors ? d.battery().efficiency_percent() * kPercent : 1;
  out.battery.regeneration_limit =
      engine_curve(d.battery().regeneration_limit(), kPercent, kKilowatt, 0, &st.regeneration_segments);
  st.front_locks = d.has_front_differential();
  st.rear_locks = d.has_rear_differential();
}

}  // namespace brakeward::compile
