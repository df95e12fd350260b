// How deceleration follows effort, from the efforts at evenly spaced levels of deceleration.
#pragma once

#include <string_view>

#include "measure/driver_folds.h"

namespace brakeward::measure {

// Effort in the unit of the folds, m or N.
struct FeelCurve {
  double threshold = 0;  // effort at the lowest level on the way up
  double effort = 0;     // effort at the greatest level on the way up
  double gain = 0;       // m/s^2 per effort, slope of the least-squares line through the levels on the way up
  double linearity = 0;  // 1, greatest distance of a level from that line over the greatest level
  double hysteresis = 0;  // effort on the way up less that on the way down, mean over the levels
};

// Why feel that is not whole has no value.
inline constexpr std::string_view kNotWhole = "a level of deceleration was never reached, or never left";

// Was every level reached and left again?
bool is_whole(const FeelFolds<double>& folds);

// `step`: m/s^2 from level to level. Of folds that are whole.
FeelCurve feel_curve(const FeelFolds<double>& folds, double step);

// RMS over the levels of the difference between both curves' shares of their effort at the greatest level on
// the way up; both folds are whole.
double feel_distance(const FeelFolds<double>& one, const FeelFolds<double>& other);

}  // namespace brakeward::measure
