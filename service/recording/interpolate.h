// Linear interpolation over a strictly rising time base, held outside it, exact at the samples.
#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

namespace brakeward::recording {

// Remembers where it looked last, so that rising times cost next to nothing. Keeps references; needs at least
// one sample.
class Interpolator {
 public:
  Interpolator(const std::vector<double>& time_s, const std::vector<double>& values)
      : time_s_(time_s), values_(values) {}

  double at(double t) {
    if (!(t > time_s_.front())) return values_.front();
    if (t >= time_s_.back()) return values_.back();
    if (t < time_s_[i_] || t >= time_s_[i_ + 1]) seek(t);
    const double share = (t - time_s_[i_]) / (time_s_[i_ + 1] - time_s_[i_]);
    return values_[i_] + (values_[i_ + 1] - values_[i_]) * share;
  }

 private:
  // Leaves i_ with time[i_] <= t < time[i_ + 1]; t lies inside the base.
  void seek(double t) {
    constexpr size_t kNear = 8;
    if (t >= time_s_[i_]) {
      for (size_t step = 0; step < kNear; ++step) {
        if (t < time_s_[i_ + 1]) return;
        ++i_;
      }
    }
    i_ = static_cast<size_t>(std::upper_bound(time_s_.begin(), time_s_.end(), t) - time_s_.begin()) - 1;
  }

  const std::vector<double>& time_s_;
  const std::vector<double>& values_;
  size_t i_ = 0;  // always below size - 1 once `at` has passed its end checks
};

}  // namespace brakeward::recording
