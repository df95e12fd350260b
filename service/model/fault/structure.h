// What a batch shares: uniform choices a kernel may branch on.
#pragma once

namespace brakeward::fault {

// Replays share a batch only where these are equal.
struct FaultChoices {
  bool sensors =
      false;  // a sensor or the request bus may fail in other ways than a hand track's gain and offset
  bool accelerator = false;  // it may be pressed

  bool operator==(const FaultChoices&) const = default;
};

}  // namespace brakeward::fault
