// A replay, ready to run: everything checked, resolved and in SI. Plain and constant; knows no document.
#pragma once

#include <array>
#include <memory>
#include <string>
#include <vector>

#include "measure/folds.h"
#include "model/control/params.h"
#include "model/control/structure.h"
#include "model/driver/params.h"
#include "model/driver/structure.h"
#include "model/fault/params.h"
#include "model/fault/structure.h"
#include "model/plant/params.h"
#include "model/plant/structure.h"

namespace brakeward::replay {

// Raised by every change that moves a number; part of every key and baseline.
inline constexpr int kNumericsVersion = 4;

// Lanes of a batch.
inline constexpr int kLanes = 8;

// Input by tick. Values the driver or the comparison needs, sampled beforehand on the tick grid.
enum InputChannel {
  kHandTravel,            // m
  kPedalForce,            // N
  kTargetSpeed,           // m/s; negative with the accelerator released
  kFrontLinePressure,     // Pa; only where the replay enters at pressure
  kRearLinePressure,      // Pa
  kReferenceFront,        // Pa, raw request through the baseline's static feel curve and balance
  kRecordedDeceleration,  // m/s^2 or measure::kNotRecorded
  kRecordedPressure,      // Pa or measure::kNotRecorded
  kFollowedSpeed,         // m/s; only where the driver follows, who then plans the two requests
  kInputChannels
};

// All values that may differ between lanes. Scalars only.
template <class Real>
struct ReplayParams {
  plant::PlantParams<Real> plant;
  control::ControlParams<Real> control;
  driver::DriverParams<Real> driver;
  driver::FollowParams<Real> follow;
  driver::SteeringParams<Real> steering;
  fault::FaultParams<Real> fault;
  measure::FoldParams<Real> fold;
  measure::FeelParams<Real> feel;
  Real last_tick;      // the replay is over here at the latest
  Real ends_standing;  // 1 when it is over at standstill
};

// What the lanes of a batch share.
struct Structure {
  plant::PlantStructure plant;
  control::ControlStructure control;
  driver::DriverStructure driver;
  fault::FaultChoices fault;
  bool feel = false;  // the effort at levels of deceleration is read
};

using Input = std::array<std::vector<double>, kInputChannels>;

struct ReplayPlan {
  std::string name;
  Structure structure;
  ReplayParams<double> params;
  Input input;  // equally long; the last sample is held beyond
  // Instead of `input` where it is set: replays that differ in nothing but their faults hold it once.
  std::shared_ptr<const Input> shared_input;
};

}  // namespace brakeward::replay
