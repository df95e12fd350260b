// Stints: laps spelt out into what follows one another.
#pragma once

#include <optional>
#include <vector>

#include "scenario/library.h"

namespace brakeward::scenario {

// Most that a stint may have to follow one another; counted before any of it is spelt out.
inline constexpr int kMostStintStretches = 20000;

// What is driven without a break.
struct StintStretch {
  enum class Kind {
    kPart,       // a scenario
    kDrive,      // at a held speed, brakes released
    kStand,      // at rest, brakes released
    kChangeOver  // the selector says the other driver's control
  };
  Kind kind = Kind::kPart;
  int lap = 1;                    // counted from 1
  bool compares = false;          // at pace, without variation in its request, and driven like the first lap
  bool by_second_driver = false;  // the part is of the second driver's lap
  std::optional<size_t> part;     // position in that driver's lap
  double request_factor = 1;      // on travel and force
  double speed_factor = 1;        // on speeds
  double speed_kph = 0;           // of kDrive and kChangeOver, factor and variation aside
  double seconds = 0;             // of kDrive and kStand
  double burnt_kg = 0;            // fuel that is gone
  double ambient_celsius = 20;
};

// The stretches in order; for documents without a fault. After a stop, and before what follows, the car
// stands for a second in which the brakes are released.
std::vector<StintStretch> expand(const Library& library, const v1::Stint& stint);

// Whether a lap is none of the slow ones.
bool at_pace(const v1::Stint& stint, int lap);

// The lap of a driver: the second one's where he has his own.
const google::protobuf::RepeatedPtrField<v1::LapPart>& lap_of(const v1::Stint& stint, bool second_driver);

// Adds every fault of a stint that shows beside the rest of the library: names, parts that are not there or
// cannot be used, laps that are not driven, drivers that cannot change, a place for fuel that is not there.
void check_stint(const Library& library, const Loaded<v1::Stint>& stint, document::Faults& faults);

}  // namespace brakeward::scenario
