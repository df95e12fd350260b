// How far the engine predicts real stops: one number, the effective brake gain, is fitted on some stops of a
// library replayed from line pressure, and the others are predicted.
//
// What is fitted: a factor on the pad friction of both axles, nothing else. Everything else of the vehicle
// document is held. Pressure is re-zeroed per stop by the replay's own compilation.
//
// Leave-out groups: the text of a scenario's name before its first '_' (lap2_corner_a: lap2). A stop is
// predicted with the gain fitted on the stops of the other groups; so are the two plain predictors beside it:
//   line      deceleration = a + b x pressure + c v^2, pressure in bar taken `lag_s` earlier, as logged;
//   constant  the mean over stops of their mean deceleration.
//
// Where a stop is judged: the straight braked part, from the first to the last sample with |lateral
// acceleration| < 0.35 g (where logged) and logged pressure 0.1 s earlier above 1 bar. All predictors start
// it at the recorded speed and are judged on the speed dropped and the distance covered by its end, as a
// share of the recorded: positive when too much is predicted.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "scenario/library.h"

namespace brakeward::gate {

struct FitOptions {
  std::filesystem::path library;  // folder; scenarios that do not enter at pressure are left aside
  scenario::LoadOptions load;     // recordings_folder: where the logs are
  double lag_s = 0.1;             // assumed from pressure to deceleration, both as logged; 0 to 0.5
  bool sensitivity = true;        // also repeat all with other lags, drag areas, on a level road, ...
};

// Signed errors, as shares of the recorded value.
struct Prediction {
  double speed_drop_mps = 0;
  double distance_m = 0;
  double speed_drop_error = 0;
  double distance_error = 0;
};

struct FitStop {
  std::string scenario;
  std::string group;
  double start_s = 0;  // of the straight braked part, in the scenario's time
  double end_s = 0;
  double entry_speed_mps = 0;
  double speed_drop_mps = 0;  // recorded
  double distance_m = 0;      // recorded, trapezoids over speed
  double peak_pressure_bar = 0;
  double gain = 0;  // fitted without this stop's group
  Prediction model, line, constant;
};

// Absolute errors over the stops.
struct ErrorSummary {
  double median = 0;
  double p90 = 0;  // 90th percentile, linear between order statistics
};

struct PredictorSummary {
  ErrorSummary speed_drop, distance;
  double speed_drop_bias = 0;  // mean signed error
  double distance_bias = 0;
};

// |error of the other| - |error of the model| over the stops, positive where the model is nearer.
struct PairedGain {
  double mean = 0;
  double standard_error = 0;  // sd / sqrt(n), the stops taken as independent
  int stops_nearer = 0;
  bool proven() const { return mean > kProof * standard_error; }
  bool refuted() const { return -mean > kProof * standard_error; }
  static constexpr double kProof = 2;
};

// The whole procedure under other assumptions.
struct Sensitivity {
  std::string assumption;
  bool fitted = false;  // false: this assumption admits no fit; `reason` says why
  std::string reason;
  double gain = 0;
  PredictorSummary model, line;
  PairedGain drop_over_line;
};

struct FitReport {
  std::string library;
  double lag_s = 0;
  bool lateral_logged = false;
  double gain = 0;            // on all stops
  double gain_lowest = 0;     // of the leave-out fits
  double gain_highest = 0;    //
  double speed_residual = 0;  // m/s, root mean square over the samples, all stops, fitted on all
  std::vector<FitStop> stops;
  PredictorSummary model, line, constant;
  PairedGain drop_over_line, distance_over_line, drop_over_constant, distance_over_constant;
  std::vector<Sensitivity> sensitivity;
};

// InvalidArgument: a faulty library (all faults, one a line), a lag out of range, fewer than three stops or
// two groups, a stop without a straight braked part of 0.5 s, one that does not slow down.
// FailedPrecondition: the fit found no gain. Deterministic.
absl::StatusOr<FitReport> fit_gain(const FitOptions& options);

// The report as text, 110 columns at most.
std::string render(const FitReport& report);

}  // namespace brakeward::gate
