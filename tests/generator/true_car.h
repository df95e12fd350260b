// The car the logs were made on: the vehicle document, off by known amounts.
#pragma once

#include "brakeward/v1/vehicle.pb.h"

namespace brakeward::generator {

// How far a car is from its document. The README of each demo car lists its own table.
struct Deviations {
  double mass_kg = 0;                              // added
  double cog_height_m = 0;                         // added
  double front_pad_ratio = 1, rear_pad_ratio = 1;  // pad friction, all temperatures
  double tyre_peak_ratio = 1;                      // both axles
  double actuator_lag_ms = 0;                      // added, both circuits
  double front_stiffness_ratio = 1;                // calipers and hoses
  double drag_area_ratio = 1;
  double engine_braking_ratio = 1;
  double track_a_zero_volts = 0, track_b_zero_volts = 0;  // added: zero drift since the sensor was trimmed
};

v1::Vehicle true_car(v1::Vehicle nominal, const Deviations& by);

}  // namespace brakeward::generator
