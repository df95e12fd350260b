// What a batch shares: uniform numbers a kernel may branch on.
#pragma once

namespace brakeward::control {

// Replays share a batch only where all of these are equal.
struct ControlChoices {
  bool supervised = false;       // more is checked than the tracks of the hand control
  bool selects = false;          // the driver's selector says which request counts
  bool blends = false;           // motors take over a part of the braking
  bool diagonal = false;         // each circuit feeds a wheel of either axle
  bool shared_actuator = false;  // both circuits have one pressure
  bool wheel_valves = false;     // a wheel can be told a pressure of its own

  bool operator==(const ControlChoices&) const = default;
  // False where both circuits can only have one pressure.
  bool has_balance() const { return wheel_valves || (!diagonal && !shared_actuator); }
};

// Besides: segments used of each curve, the largest number among the lanes.
struct ControlStructure : ControlChoices {
  int hand_segments = 0;
  int pedal_segments = 0;
  int speed_trim_segments = 0;
  int demand_trim_segments = 0;
};

}  // namespace brakeward::control
