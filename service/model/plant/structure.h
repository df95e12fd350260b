// What a batch shares: uniform numbers a kernel may branch on.
#pragma once

namespace brakeward::plant {

struct PlantStructure {
  double tick_s;
  int substeps;
  bool pressure_entry;    // recorded line pressure acts on the calipers directly
  int friction_segments;  // segments used of the road friction curves
  int grade_segments;
  int pad_segments;
  int heat_ticks = 1;        // heat moves on every so many ticks, with the friction work since
  bool lateral = false;      // the road bends or banks
  bool exponential = false;  // a named surface's friction curve in place of the tyres' own
  int banking_segments = 0;
  int vertical_segments = 0;
  int path_segments = 0;
  bool bumps = false;  // the road has heights, and the wheels move on their springs
  int bump_segments = 0;
  bool front_locks = false;  // limited slip at the front axle
  bool rear_locks = false;
  bool motors = false;  // at one axle or both
  int regeneration_segments = 0;
  bool wheels_apart = false;     // the calipers of an axle may differ
  bool gas = false;              // air in a caliper, or fluid that may boil
  bool disturbed = false;        // leak, supply, dead actuator or knock-back
  bool actuator_varies = false;  // supply, heat or a fault changes an actuator's strength
  bool pedal_path = false;       // there is one
  bool pads_lack = false;        // friction is short of its full value at the start
  bool seals = false;            // the piston seals have friction
  int pad_pressure_segments = 0;
  int pad_speed_segments = 0;
  int wear_segments = 0;  // 0 where no wear is reckoned
};

}  // namespace brakeward::plant
