#include "generator/cars.h"

namespace brakeward::generator {
namespace {

// A heavier driver and fuel; pads bite more, tyres hold less than their document says.
Deviations sorrel_deviations() {
  Deviations d;
  d.mass_kg = 25;
  d.front_pad_ratio = d.rear_pad_ratio = 1.02;
  d.tyre_peak_ratio = 0.985;
  d.actuator_lag_ms = 2;
  d.front_stiffness_ratio = 0.97;
  d.drag_area_ratio = 1.02;
  d.engine_braking_ratio = 1.05;
  d.track_a_zero_volts = 0.004;
  return d;
}

// Tools and a roof rack; front pads bite less, tyres hold more than their document says.
Deviations bracken_deviations() {
  Deviations d;
  d.mass_kg = 40;
  d.cog_height_m = 0.03;
  d.front_pad_ratio = 0.98;
  d.rear_pad_ratio = 1.01;
  d.tyre_peak_ratio = 1.02;
  d.actuator_lag_ms = 3;
  d.front_stiffness_ratio = 0.95;
  d.drag_area_ratio = 1.03;
  d.engine_braking_ratio = 0.9;
  d.track_b_zero_volts = -0.006;
  return d;
}

}  // namespace

const std::vector<DemoCar>& demo_cars() {
  static const std::vector<DemoCar> all = {{"sorrel", sorrel_deviations(), &sorrel_drives()},
                                           {"bracken", bracken_deviations(), &bracken_drives()}};
  return all;
}

const DemoCar* find_car(std::string_view name) {
  for (const DemoCar& car : demo_cars())
    if (car.name == name) return &car;
  return nullptr;
}

}  // namespace brakeward::generator
