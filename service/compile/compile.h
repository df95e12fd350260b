// Documents and recordings to a checked, plain replay plan in SI units.
#pragma once

#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "brakeward/v1/calibration.pb.h"
#include "brakeward/v1/scenario.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "measure/measures.h"
#include "recording/recording.h"
#include "replay/plan.h"
#include "scenario/variants.h"

namespace brakeward::compile {

// What a plan is made of. Messages carry resolved defaults and have been checked, the vehicle by
// check_vehicle too.
struct Sources {
  const v1::Vehicle& vehicle;
  const v1::Calibration& calibration;  // replayed
  const v1::Calibration& reference;  // whose static feel curve and balance map the raw request for the delays
  const v1::Scenario& scenario;
  const recording::Log* log = nullptr;  // of the scenario's recording; null without one
  scenario::Variation variation = {};
};

struct CompiledScenario {
  replay::ReplayPlan plan;
  measure::MeasureContext context;
  // From here on the recorded driver had let go and the last input is held; past the end when never.
  double extrapolated_from_s = 1e9;
};

// InvalidArgument names scenario, address and remedy: a stretch outside its recording, a channel the entry
// point needs that was not logged, a balance step or effort grade the calibration does not have, a place for
// mass the vehicle does not have, an input without a request.
absl::StatusOr<CompiledScenario> compile(const Sources& sources);

// The same scenario with faults, from its replay without: what faults have no part in is taken over, which
// gives the same plan as compile() at a fraction of the time.
absl::StatusOr<CompiledScenario> compile_faults(const Sources& sources, const CompiledScenario& fault_free);

// The car as it is loaded.
struct LoadedCar {
  double mass;          // kg
  double static_front;  // 1
  double cog_height;    // m
};
absl::StatusOr<LoadedCar> load_car(const v1::Vehicle& vehicle, const v1::Scenario& scenario);

// Both controls held while the selector changes over from one to the other.
struct ChangeOver {
  v1::RequestControl to_control;
  double held;         // m or N, of that control
  double held_from_s;  // until the end
  double at_s;         // of the selector
};
// Of a scenario that has the other control as its synthetic input and the selector's change as its only
// fault. The reference demand is that of the control the selector says.
absl::StatusOr<CompiledScenario> compile_change_over(const Sources& sources, const ChangeOver& change);

// The same replay with the candidate's control parameters only; for tools that vary one thing.
absl::StatusOr<control::ControlParams<double>> compile_control(const v1::Calibration& calibration,
                                                               const v1::Vehicle& vehicle,
                                                               const v1::Scenario& scenario,
                                                               control::ControlStructure& structure);

// Recorded speed and deceleration are means over this time on either side of a sample.
inline constexpr double kRecordedSmoothing = 0.05;  // s

// Past the end of every replay.
inline constexpr double kNeverTick = 1e15;

}  // namespace brakeward::compile
