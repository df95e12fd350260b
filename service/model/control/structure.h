// What a batch shares: uniform numbers a kernel may branch on.
#pragma once

#include "signal/ports.h"

namespace brakeward::control {

// Replays share a batch only where all of these are equal.
struct ControlChoices : signal::HydraulicLayout {
  bool supervised = false;          // more is checked than the tracks of the hand control
  bool selects = false;             // the driver's selector says which request counts
  bool blends = false;              // motors take over a part of the braking
  bool holds = false;               // the car is held at standstill
  bool overlaps = false;            // the accelerator is overruled beside the brake
  bool powers_up = false;           // it goes out without power, and tests itself
  bool compensates = false;         // the hand control's shift with the steering wheel is taken off
  bool feels_deceleration = false;  // the reference speed falls with the accelerometer
  bool holds_slipping = false;      // the slip limiter leaves a wheel that gains speed its share

  bool operator==(const ControlChoices&) const = default;
  bool feels_accelerator() const { return holds || overlaps; }
};

// Besides: segments used of each curve, the largest number among the lanes.
struct ControlStructure : ControlChoices {
  int hand_segments = 0;
  int pedal_segments = 0;
  int speed_trim_segments = 0;
  int demand_trim_segments = 0;
};

}  // namespace brakeward::control
