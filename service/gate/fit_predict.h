// Predictors of a sampled stop: the engine with a gain, a plain line, a constant. Internal to the gate.
#pragma once

#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "gate/fit.h"
#include "gate/fit_stops.h"

namespace brakeward::gate {

// Speeds at a stop's samples, starting at the recorded speed, and the distance, by trapezoids over them.
struct Course {
  std::vector<double> speed_mps;
  double distance_m = 0;
};

// The engine with pad friction times `gain`. The stretch is replayed from its start, with all speeds before
// the brake shifted so that the straight braked part begins at the recorded speed. Internal when the replay
// turns non-finite.
absl::StatusOr<Course> replay_course(const SampledStop& stop, double gain);

// Factor on pad friction that brings the replayed speeds nearest to the recorded ones (least squares over
// the samples, Gauss-Newton), from `start`.
struct GainFit {
  double gain = 0;
  double residual_mps = 0;  // root mean square
};
absl::StatusOr<GainFit> fit_gain_on(std::span<const SampledStop* const> stops, double start);

// deceleration = a + b p + c v^2, fitted over the straight samples; a constant has b = c = 0.
struct Line {
  double a = 0, b = 0, c = 0;
};
absl::StatusOr<Line> fit_line_on(std::span<const SampledStop* const> stops);
Line fit_constant_on(std::span<const SampledStop* const> stops);

// Euler steps from sample to sample.
Course line_course(const SampledStop& stop, const Line& line);

// Signed errors of a course.
Prediction judge_course(const SampledStop& stop, const Course& course);

}  // namespace brakeward::gate
