#include "generator/true_car.h"

namespace brakeward::generator {
namespace {

void scale_friction(double ratio, v1::WheelBrake& brake) {
  for (v1::CurvePoint& point : *brake.mutable_pad_friction()->mutable_points())
    point.set_y(ratio * point.y());
}

void shift_zero(double volts, v1::SensorTrack& track) {
  track.set_zero_volts(track.zero_volts() + volts);
}

}  // namespace

v1::Vehicle true_car(v1::Vehicle car, const Deviations& by) {
  v1::Chassis& chassis = *car.mutable_chassis();
  chassis.set_mass_kg(chassis.mass_kg() + by.mass_kg);
  chassis.set_cog_height_m(chassis.cog_height_m() + by.cog_height_m);
  scale_friction(by.front_pad_ratio, *car.mutable_front_brake());
  scale_friction(by.rear_pad_ratio, *car.mutable_rear_brake());
  for (v1::Tyre* tyre : {car.mutable_front_tyre(), car.mutable_rear_tyre()})
    tyre->set_p_dx1(by.tyre_peak_ratio * tyre->p_dx1());
  for (v1::Actuator* actuator : {car.mutable_front_actuator(), car.mutable_rear_actuator()})
    actuator->set_lag_ms(actuator->lag_ms() + by.actuator_lag_ms);
  v1::WheelBrake& front = *car.mutable_front_brake();
  front.set_stiffness_bar_per_cm3(by.front_stiffness_ratio * front.stiffness_bar_per_cm3());
  car.mutable_aero()->set_drag_area_m2(by.drag_area_ratio * car.aero().drag_area_m2());
  v1::Driveline& driveline = *car.mutable_driveline();
  driveline.set_engine_braking_nm(by.engine_braking_ratio * driveline.engine_braking_nm());
  shift_zero(by.track_a_zero_volts, *car.mutable_sensors()->mutable_hand_track_a());
  shift_zero(by.track_b_zero_volts, *car.mutable_sensors()->mutable_hand_track_b());
  return car;
}

}  // namespace brakeward::generator
