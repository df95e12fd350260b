// How far the result of a scenario can be repeated: measures over several replays of it.
#pragma once

#include <optional>
#include <span>
#include <string_view>
#include <utility>
#include <vector>

#include "measure/measures.h"

namespace brakeward::measure {

// What is compared of a replay.
struct Outcome {
  double distance_m = 0;                    // from the start to the end of the replay
  std::optional<double> delay_ms;           // delay_90_percent
  std::optional<double> deceleration_mps2;  // mean fully developed of a stop, else the peak
};

// `values`: of make_measures(). A stop in which the car never stands has no deceleration.
Outcome outcome_of(const Folds<double>& folds, const std::vector<MeasureValue>& values,
                   const MeasureContext& context);

// Outcomes of the replays of each kind; of one that was not asked for, none.
struct Outcomes {
  std::vector<Outcome> repeats;   // with noise
  std::vector<Outcome> steps;     // of the balance
  std::vector<Outcome> corners;   // of the matrix
  std::vector<Outcome> mirrored;  // the scenario itself, then with left and right exchanged
};

// A measure, its value and, where one replay has it, the position of that one among its kind.
struct RepeatabilityMeasure {
  std::string_view name;
  MeasureValue value;
  std::optional<size_t> shown_in = {};
};

// Every repeat_, step_, corner_ and mirrored_ measure of the catalogue.
std::vector<RepeatabilityMeasure> repeatability_measures(const Outcomes& outcomes);

// Sample standard deviation; 0 of fewer than two values.
double standard_deviation(std::span<const double> values);

}  // namespace brakeward::measure
