// Constants of nature.
#pragma once

namespace brakeward::math {

inline constexpr double kGravity = 9.80665;     // m/s^2, standard gravity (ISO 80000-3)
inline constexpr double kZeroCelsius = 273.15;  // K (ISO 80000-5)

}  // namespace brakeward::math
