// Factors from the documents' trade units to SI.
#pragma once

namespace brakeward::compile {

inline constexpr double kBar = 1e5;                // Pa
inline constexpr double kKph = 1 / 3.6;            // m/s
inline constexpr double kMilli = 1e-3;             // mm, ms, mV
inline constexpr double kPercent = 0.01;           // 1
inline constexpr double kCubicCentimetre = 1e-6;   // m^3
inline constexpr double kSquareCentimetre = 1e-4;  // m^2
inline constexpr double kPi = 3.14159265358979323846;
inline constexpr double kDegree = kPi / 180;  // rad

}  // namespace brakeward::compile
