#include <algorithm>

#include "recording/interpolate.h"
#include "recording/recording.h"

namespace brakeward::recording {

std::vector<double> deceleration_mps2(const Log& log) {
  if (log.has(Signal::kDeceleration)) return log[Signal::kDeceleration];
  const std::vector<double>& time_s = log.time_s;
  if (!log.has(Signal::kSpeed) || log[Signal::kSpeed].size() != time_s.size()) return {};
  std::vector<double> deceleration(time_s.size());
  if (time_s.size() < 2) return deceleration;
  Interpolator before(time_s, log[Signal::kSpeed]);
  Interpolator after(time_s, log[Signal::kSpeed]);
  for (size_t i = 0; i < time_s.size(); ++i) {
    const double left = std::max(time_s.front(), time_s[i] - kDecelerationWindow_s / 2);
    const double right = std::min(time_s.back(), time_s[i] + kDecelerationWindow_s / 2);
    deceleration[i] = (before.at(left) - after.at(right)) / (right - left);
  }
  return deceleration;
}

}  // namespace brakeward::recording
