// The car the logs were made on: the vehicle document, off by known amounts.
#pragma once

#include "brakeward/v1/vehicle.pb.h"

namespace brakeward::generator {

// How far the car is from its document. The README of the demo car lists the same table.
struct Deviations {
  double mass_kg = 25;                  // added: fuel and a heavier driver
  double pad_friction_ratio = 1.02;     // both axles, all temperatures
  double tyre_peak_ratio = 0.985;       // both axles
  double actuator_lag_ms = 2;           // added, both circuits
  double front_stiffness_ratio = 0.97;  // calipers and hoses give more
  double drag_area_ratio = 1.02;
  double engine_braking_ratio = 1.05;
  double track_a_zero_volts = 0.004;  // added: zero drift since the sensor was trimmed
};

v1::Vehicle true_car(v1::Vehicle nominal, const Deviations& by = {});

}  // namespace brakeward::generator
