// What a batch shares: uniform choices a kernel may branch on.
#pragma once

namespace brakeward::driver {

// Replays share a batch only where these are equal.
struct DriverChoices {
  bool follows = false;  // the driver follows a speed instead of replaying a request
  bool steers = false;   // the steering wheel is turned

  bool operator==(const DriverChoices&) const = default;
};

// Besides: segments used of each curve, the largest number among the lanes.
struct DriverStructure : DriverChoices {
  int steering_segments = 0;
};

}  // namespace brakeward::driver
