// What a batch shares: uniform numbers a kernel may branch on.
#pragma once

#include "signal/ports.h"

namespace brakeward::plant {

// Replays share a batch only where all of these are equal.
struct PlantChoices : signal::HydraulicLayout {
  double tick_s = 0;
  int substeps = 1;
  int heat_ticks = 1;           // heat moves on every so many ticks, with the friction work since
  bool pressure_entry = false;  // recorded line pressure acts on the calipers directly
  bool lateral = false;         // the road bends or banks
  bool exponential = false;     // a named surface's friction curve in place of the tyres' own
  bool bumps = false;           // the road has heights, and the wheels move on their springs
  bool front_locks = false;     // limited slip at the front axle
  bool rear_locks = false;
  bool motors = false;           // at one axle or both
  bool wheels_apart = false;     // the calipers of an axle may differ
  bool gas = false;              // air in a caliper, or fluid that may boil
  bool disturbed = false;        // leak, supply, dead actuator or knock-back
  bool leaks = false;            // a circuit may leak
  bool actuator_varies = false;  // supply, heat or a fault changes an actuator's strength
  bool pedal_path = false;       // there is one
  bool pads_lack = false;        // friction is short of its full value at the start
  bool seals = false;            // the piston seals have friction
  bool request_bus = false;      // the request reaches the controller in messages

  bool operator==(const PlantChoices&) const = default;
};

// Besides, found out by the replay: whether left and right wheels of an axle are alike in all lanes, so that
// one stands for both; and segments used of each curve, the largest number among the lanes.
struct PlantStructure : PlantChoices {
  bool sides_alike = false;
  int friction_segments = 0;
  int grade_segments = 0;
  int banking_segments = 0;
  int vertical_segments = 0;
  int path_segments = 0;
  int bump_segments = 0;
  int pad_segments = 0;
  int pad_pressure_segments = 0;
  int pad_speed_segments = 0;
  int wear_segments = 0;  // 0 where no wear is reckoned
  int regeneration_segments = 0;
  int simulator_segments = 0;
};

}  // namespace brakeward::plant
