// Constants of nature.
#pragma once

namespace brakeward::math {

inline constexpr double kGravity = 9.80665;  // m/s^2, standard gravity (ISO 80000-3)

}  // namespace brakeward::math
