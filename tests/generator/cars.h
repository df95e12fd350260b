// The demo cars whose logs the generator makes.
#pragma once

#include <string_view>
#include <vector>

#include "generator/drives.h"
#include "generator/true_car.h"

namespace brakeward::generator {

struct DemoCar {
  std::string_view name;  // of the library: scenarios/NAME
  Deviations deviations;
  const std::vector<Drive>* drives;
};

const std::vector<DemoCar>& demo_cars();

// The car of that name, or null.
const DemoCar* find_car(std::string_view name);

}  // namespace brakeward::generator
