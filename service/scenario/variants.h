// Replays beside a scenario's own that tell how far its result can be repeated: noisy repetitions, balance
// steps, left and right exchanged, the corner matrix, the pedal beside the hand.
#pragma once

#include <string>
#include <vector>

#include "brakeward/v1/scenario.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "document/fault.h"

namespace brakeward::scenario {

// Most corners of a matrix; counted before any of them is spelt out.
inline constexpr int kMostCorners = 512;

// In what a replay differs from its scenario's document. As it is: nothing.
struct Variation {
  double amplitude = 1;     // factor on the request
  double late_s = 0;        // the request comes later by this
  double grip = 1;          // factor on the road's friction
  double pad_friction = 1;  // factor on the pads' friction
  double hand_zero_m = 0;   // travel that the hand control's sensors see at rest
  double pedal_zero_n = 0;  // force that the pedal's sensor sees at rest
};

enum class VariantKind { kRepeat, kStep, kMirrored, kCorner, kPedal };

struct Variant {
  VariantKind kind = VariantKind::kRepeat;
  std::string name;      // SCENARIO/repeat@3, /step@+2, /corner@grip_low,load, /mirrored, /pedal
  v1::Scenario message;  // with what a document can say of the difference
  Variation variation;   // and what it cannot
};

// In the order of VariantKind. The scenario is within its schema and passed check_repeatability().
std::vector<Variant> variants_of(const v1::Scenario& scenario);

// How many there are.
int count_variants(const v1::Scenario& scenario);

// Adds every fault of what a scenario asks for besides its own replay.
void check_repeatability(const v1::Scenario& scenario, const v1::Vehicle& vehicle, const std::string& file,
                         document::Faults& faults);

}  // namespace brakeward::scenario
