#include "report/figure_ticks.h"

#include <algorithm>
#include <cmath>

namespace brakeward::report {
namespace {

double range_of(const std::vector<double>& y) {
  double low = 0, high = 0;
  bool any = false;
  for (const double v : y) {
    if (!std::isfinite(v)) continue;
    low = any ? std::min(low, v) : v;
    high = any ? std::max(high, v) : v;
    any = true;
  }
  return high - low;
}

// The position strictly between `from` and `to` at which a series leaves its chord farthest; `from` when all
// are straight.
class Departures {
 public:
  explicit Departures(std::span<const std::vector<double>> series) : series_(series) {
    for (const auto& y : series) ranges_.push_back(range_of(y));
  }

  size_t farthest(size_t from, size_t to) const {
    size_t at = from;
    double farthest = 0;
    for (size_t s = 0; s < series_.size(); ++s) {
      const std::vector<double>& y = series_[s];
      if (!(ranges_[s] > 0) || to >= y.size()) continue;
      const double slope = (y[to] - y[from]) / static_cast<double>(to - from);
      for (size_t i = from + 1; i < to; ++i) {
        const double chord = y[from] + slope * static_cast<double>(i - from);
        const double departure = std::fabs(y[i] - chord) / ranges_[s];
        if (departure > farthest) farthest = departure, at = i;
      }
    }
    return at;
  }

 private:
  std::span<const std::vector<double>> series_;
  std::vector<double> ranges_;
};

}  // namespace

std::vector<size_t> telling_ticks(std::span<const std::vector<double>> series, size_t most) {
  size_t count = 0;
  for (const auto& y : series) count = std::max(count, y.size());
  std::vector<size_t> out;
  if (count <= most) {
    for (size_t i = 0; i < count; ++i) out.push_back(i);
    return out;
  }
  const Departures departures(series);
  const size_t stretches = std::max<size_t>(1, most / 2);
  for (size_t k = 0; k < stretches; ++k) {
    const size_t from = k * (count - 1) / stretches, to = (k + 1) * (count - 1) / stretches;
    out.push_back(from);
    if (const size_t at = departures.farthest(from, to); at != from) out.push_back(at);
  }
  out.push_back(count - 1);
  return out;
}

}  // namespace brakeward::report
