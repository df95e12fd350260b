// The parts of check_vehicle. Internal to compile.
#pragma once

#include <string>

#include "compile/check_vehicle.h"

namespace brakeward::compile {

// Takes the faults of one document.
struct VehicleFaults {
  const std::string& file;
  document::Faults& faults;

  void add(const std::string& address, std::string text) const {
    faults.add({file, 0, 0, address, std::move(text)});
  }
};

// `address` of the tyre; `weight` of the car in N.
void check_tyre(const v1::Tyre& tyre, const std::string& address, double weight, const VehicleFaults& out);

// Wheel brakes, fluid and actuators.
void check_brakes(const v1::Vehicle& vehicle, const VehicleFaults& out);

void check_driveline(const v1::Driveline& driveline, const VehicleFaults& out);

}  // namespace brakeward::compile
