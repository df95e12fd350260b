// The stops of a library, cut and sampled for a fit. Internal to the gate.
#pragma once

#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "replay/plan.h"
#include "scenario/library.h"

namespace brakeward::gate {

// What a fit may assume about the car beside its documents.
struct Assumption {
  double lag_s = 0.1;
  double drag_factor = 1;
  double downforce_factor = 1;
  double tyre_peak_factor = 1;
  bool level_road = false;
  bool engine_braking = true;
};

// One stop over its straight braked part. Times in s from the scenario's start.
struct SampledStop {
  std::string scenario;
  std::string group;
  std::vector<double> time_s;
  std::vector<double> speed_mps;
  std::vector<double> deceleration_mps2;  // as logged, else from speed
  std::vector<double> pressure_bar;       // as logged, lag_s earlier
  std::vector<char> straight;             // 1 where both conditions of the part hold
  double speed_drop_mps = 0;
  double distance_m = 0;
  bool lateral_logged = false;
  replay::ReplayPlan plan;  // of the whole stretch, ended at the last sample
};

// Distance in m.
double trapezoids(const std::vector<double>& time_s, const std::vector<double>& speed_mps);

// All scenarios of `library` that enter at pressure, in library order.
absl::StatusOr<std::vector<SampledStop>> sample_stops(const scenario::Library& library,
                                                      const Assumption& assumption);

}  // namespace brakeward::gate
