// When a request counts as begun.
#pragma once

namespace brakeward::signal {

// Beyond these: SAE J299 control trigger, 22 N or 2.0 mm (as read in a public summary); 1 bar where the
// replay enters at pressure (common practice, no source).
inline constexpr double kOnsetTravel = 0.002;  // m
inline constexpr double kOnsetForce = 22;      // N
inline constexpr double kOnsetPressure = 1e5;  // Pa

}  // namespace brakeward::signal
