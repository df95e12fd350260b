// What a batch shares: uniform numbers a kernel may branch on.
#pragma once

namespace brakeward::control {

// Segments used of each curve.
struct ControlStructure {
  int hand_segments;
  int pedal_segments;
  int speed_trim_segments;
  int demand_trim_segments;
};

}  // namespace brakeward::control
