// From the folds of a stint's legs to the measures of the catalogue.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "measure/catalogue.h"
#include "measure/folds.h"
#include "measure/stint_folds.h"

namespace brakeward::measure {

// A leg that was replayed.
struct StintLegRecord {
  double tick_s = 0.001;
  int lap = 1;              // counted from 1
  bool compares = false;    // of a lap at pace that is driven like the first one
  std::optional<int> part;  // position in the lap; nothing for driving, standing and the change-over
  bool is_stop = false;     // ends at standstill
  std::optional<double> selector_tick;  // when the selector changes over, where it does
  const Folds<double>* folds = nullptr;
  const StintFolds<double>* stint = nullptr;
};

struct StintContext {
  int laps = 1;
  bool has_boiling_point = false;
  bool has_wear = false;
  bool has_winding = false;  // an actuator that warms
};

// Every measure of the catalogue, in its order. Values in the catalogue's units.
std::vector<MeasureValue> make_stint_measures(std::span<const StintLegRecord> legs,
                                              const StintContext& context);

// The worst of one lap.
struct LapSummary {
  double braking_distance = 0;           // m
  double peak_disc[2] = {-1e9, -1e9};    // degC
  double peak_fluid = -1e9;              // degC
  double peak_winding = -1e9;            // degC
  std::optional<double> boiling_margin;  // K; nothing where no application began
};
LapSummary summarise_lap(std::span<const StintLegRecord> legs, int lap);

// One part of a lap. Temperatures are of the part and of all legs until the next one, so that the greatest of
// a lap's parts are the lap's.
struct PartSummary {
  size_t leg = 0;                      // position of the part
  std::optional<double> distance;      // m, of a stop that came to a standstill
  std::optional<double> deceleration;  // m/s^2, mean while braking is asked for
  double peak_disc[2] = {-1e9, -1e9};  // degC
  double peak_fluid = -1e9;            // degC
  double peak_winding = -1e9;          // degC
};
std::vector<PartSummary> summarise_parts(std::span<const StintLegRecord> legs);

}  // namespace brakeward::measure
