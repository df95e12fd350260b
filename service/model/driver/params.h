// The person's constants.
#pragma once

namespace brakeward::driver {

template <class Real>
struct DriverParams {
  Real speed_gain;      // N s/m, traction per speed error while regaining speed
  Real traction_limit;  // N
};

}  // namespace brakeward::driver
