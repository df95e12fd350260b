#include "measure/feel.h"

#include <algorithm>
#include <cmath>

namespace brakeward::measure {

bool is_whole(const FeelFolds<double>& f) {
  const auto reached = [](double effort) { return effort >= 0; };
  return std::all_of(f.up, f.up + kFeelLevels, reached) && std::all_of(f.down, f.down + kFeelLevels, reached);
}

FeelCurve feel_curve(const FeelFolds<double>& f, double step) {
  double mean_x = 0, mean_y = 0, xx = 0, xy = 0;
  FeelCurve out;
  for (int i = 0; i < kFeelLevels; ++i) {
    mean_x += f.up[i] / kFeelLevels;
    mean_y += step * (i + 1) / kFeelLevels;
    out.hysteresis += (f.up[i] - f.down[i]) / kFeelLevels;
  }
  for (int i = 0; i < kFeelLevels; ++i) {
    xx += (f.up[i] - mean_x) * (f.up[i] - mean_x);
    xy += (f.up[i] - mean_x) * (step * (i + 1) - mean_y);
  }
  out.threshold = f.up[0];
  out.effort = f.up[kFeelLevels - 1];
  out.gain = xx > 0 ? xy / xx : 0;
  for (int i = 0; i < kFeelLevels; ++i) {
    const double off = std::fabs(step * (i + 1) - (mean_y + out.gain * (f.up[i] - mean_x)));
    out.linearity = std::max(out.linearity, off / (step * kFeelLevels));
  }
  return out;
}

double feel_distance(const FeelFolds<double>& one, const FeelFolds<double>& other) {
  constexpr int kTop = kFeelLevels - 1;
  double square = 0;
  for (int i = 0; i < kTop; ++i) {
    const double difference = one.up[i] / one.up[kTop] - other.up[i] / other.up[kTop];
    square += difference * difference;
  }
  return std::sqrt(square / kTop);
}

}  // namespace brakeward::measure
