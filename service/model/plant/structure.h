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
};

}  // namespace brakeward::plant
