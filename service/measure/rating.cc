#include "measure/rating.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

namespace brakeward::measure {
namespace {

using Samples = std::span<const double>;
using Series = std::vector<double>;

constexpr double kInner = 0.05, kOuter = 0.50;  // corridor, of the reference's greatest magnitude
constexpr double kMostLag = 0.2;                // of the samples
constexpr double kMostMagnitude = 0.5, kMostSlope = 2.0;
constexpr double kBand = 0.1;  // of the samples, for the warp
constexpr double kCorridorWeight = 0.4, kOtherWeight = 0.2;
constexpr size_t kSmoothed = 4;  // samples on either side

double falling(double error, double most) {
  return error >= most ? 0 : (most - error) / most;
}

double corridor_of(Samples t, Samples c) {
  double norm = 0;
  for (const double x : t) norm = std::max(norm, std::fabs(x));
  const double a = kInner * norm, b = kOuter * norm;
  double sum = 0;
  for (size_t i = 0; i < t.size(); ++i) {
    const double d = std::fabs(t[i] - c[i]);
    const double share = (b - d) / (b - a);
    sum += d < a ? 1 : d > b ? 0 : share * share;
  }
  return sum / static_cast<double>(t.size());
}

// Sums of a series and of its squares up to a sample, of values less their mean.
struct Sums {
  Series value, sum, square;
  explicit Sums(Samples x) : value(x.begin(), x.end()), sum(x.size() + 1, 0), square(x.size() + 1, 0) {
    double mean = 0;
    for (const double v : x) mean += v;
    mean /= static_cast<double>(x.size());
    for (size_t i = 0; i < x.size(); ++i) {
      value[i] -= mean;
      sum[i + 1] = sum[i] + value[i];
      square[i + 1] = square[i] + value[i] * value[i];
    }
  }
  // Sum of squared departures from the mean of samples from .. from + n - 1.
  double variation(size_t from, size_t n) const {
    const double s = sum[from + n] - sum[from];
    return square[from + n] - square[from] - s * s / static_cast<double>(n);
  }
  double part(size_t from, size_t n) const { return sum[from + n] - sum[from]; }
};

// Pearson's r of n samples from positions i and j; -2 where one of them is constant.
double correlation(const Sums& t, size_t i, const Sums& c, size_t j, size_t n) {
  constexpr double kConstant = 1e-12;  // of the whole variation: what rounding leaves of a constant
  const double vt = t.variation(i, n), vc = c.variation(j, n);
  if (vt <= kConstant * t.square.back() || vc <= kConstant * c.square.back()) return -2;
  double cross = 0;
  for (size_t k = 0; k < n; ++k) cross += t.value[i + k] * c.value[j + k];
  return (cross - t.part(i, n) * c.part(j, n) / static_cast<double>(n)) / std::sqrt(vt * vc);
}

// The lag of best correlation; nothing where none correlates.
std::optional<long> best_lag(Samples reference, Samples compared) {
  const Sums t(reference), c(compared);
  const size_t n = reference.size(), most = static_cast<size_t>(kMostLag * static_cast<double>(n));
  std::optional<long> best;
  double greatest = -2;
  for (size_t lag = 0; lag <= most; ++lag) {
    const double late = correlation(t, 0, c, lag, n - lag), early = correlation(t, lag, c, 0, n - lag);
    if (late > greatest) greatest = late, best = static_cast<long>(lag);
    if (early > greatest) greatest = early, best = -static_cast<long>(lag);
  }
  return best;
}

struct Warp {
  double difference = 0, reference = 0;  // sums of magnitudes along the path
};

// The cheapest path through the squared differences, within the band, and what it passes.
Warp warp(Samples t, Samples c) {
  const long n = static_cast<long>(t.size());
  const long reach = static_cast<long>(std::ceil(kBand * static_cast<double>(n))) - 1, width = 2 * reach + 1;
  constexpr double kNever = std::numeric_limits<double>::infinity();
  // Row i holds columns i - reach .. i + reach.
  std::vector<double> above(static_cast<size_t>(width) + 1, kNever), row = above;
  std::vector<std::uint8_t> from(static_cast<size_t>(n * width));  // 0 both back, 1 row back, 2 column back
  for (long i = 0; i < n; ++i) {
    std::fill(row.begin(), row.end(), kNever);
    for (long k = 0; k < width; ++k) {
      const long j = i - reach + k;
      if (j < 0 || j >= n) continue;
      const double d = t[static_cast<size_t>(i)] - c[static_cast<size_t>(j)];
      double least = i == 0 && j == 0 ? 0 : kNever;
      std::uint8_t step = 0;
      const auto offer = [&](double cost, std::uint8_t way) {
        if (cost < least) least = cost, step = way;
      };
      if (i > 0 && j > 0) offer(above[static_cast<size_t>(k)], 0);
      if (i > 0) offer(above[static_cast<size_t>(k + 1)], 1);
      if (k > 0) offer(row[static_cast<size_t>(k - 1)], 2);
      row[static_cast<size_t>(k)] = least + d * d;
      from[static_cast<size_t>(i * width + k)] = step;
    }
    std::swap(above, row);
  }
  Warp out;
  for (long i = n - 1, j = n - 1;;) {
    out.difference += std::fabs(c[static_cast<size_t>(j)] - t[static_cast<size_t>(i)]);
    out.reference += std::fabs(t[static_cast<size_t>(i)]);
    if (i == 0 && j == 0) return out;
    const std::uint8_t step = from[static_cast<size_t>(i * width + j - i + reach)];
    if (step != 2) --i;
    if (step != 1) --j;
  }
}

// Central differences, one-sided at the ends, then the mean of nine, fewer at the ends. A sample is the unit
// of time, which cancels.
Series slope_of(Samples x) {
  const size_t n = x.size();
  Series raw(n), out(n);
  for (size_t i = 0; i < n; ++i) {
    const size_t a = i == 0 ? 0 : i - 1, b = std::min(i + 1, n - 1);
    raw[i] = (x[b] - x[a]) / static_cast<double>(b - a);
  }
  for (size_t i = 0; i < n; ++i) {
    const size_t half = std::min({i, n - 1 - i, kSmoothed});
    double sum = 0;
    for (size_t k = i - half; k <= i + half; ++k) sum += raw[k];
    out[i] = sum / static_cast<double>(2 * half + 1);
  }
  return out;
}

double slope_error(Samples t, Samples c) {
  const Series dt = slope_of(t), dc = slope_of(c);
  double difference = 0, reference = 0;
  for (size_t i = 0; i < dt.size(); ++i) {
    difference += std::fabs(dc[i] - dt[i]);
    reference += std::fabs(dt[i]);
  }
  return reference > 0 ? difference / reference : difference > 0 ? kMostSlope : 0;
}

double magnitude_error(Samples t, Samples c) {
  const Warp w = warp(t, c);
  return w.reference > 0 ? w.difference / w.reference : w.difference > 0 ? kMostMagnitude : 0;
}

}  // namespace

std::string_view why_not_rated(Samples reference, Samples compared) {
  if (reference.size() != compared.size()) return "replay and recording have not as many samples";
  if (reference.size() < kLeastRatedSamples) return "fewer than 50 samples were recorded";
  const auto finite = [](double x) { return std::isfinite(x); };
  if (!std::all_of(reference.begin(), reference.end(), finite) ||
      !std::all_of(compared.begin(), compared.end(), finite))
    return "a sample is not a finite number";
  const auto [least, most] = std::minmax_element(reference.begin(), reference.end());
  return *least == *most ? "the recording is constant here" : "";
}

std::optional<Rating> rate(Samples reference, Samples compared) {
  if (!why_not_rated(reference, compared).empty()) return std::nullopt;
  Rating out;
  out.corridor = corridor_of(reference, compared);
  const std::optional<long> lag = best_lag(reference, compared);
  out.lag = lag.value_or(0);
  const double most = kMostLag * static_cast<double>(reference.size());
  const size_t late = static_cast<size_t>(std::max(0L, out.lag)),
               early = static_cast<size_t>(std::max(0L, -out.lag));
  out.phase = lag ? falling(static_cast<double>(late + early), most) : 0;
  const size_t n = reference.size() - late - early;
  const Samples t = reference.subspan(early, n), c = compared.subspan(late, n);
  out.magnitude = falling(magnitude_error(t, c), kMostMagnitude);
  out.slope = falling(slope_error(t, c), kMostSlope);
  out.total = kCorridorWeight * out.corridor + kOtherWeight * (out.phase + out.magnitude + out.slope);
  return out;
}

std::string_view rank(double rating) {
  return rating > 0.94 ? "excellent" : rating > 0.80 ? "good" : rating > 0.58 ? "fair" : "poor";
}

}  // namespace brakeward::measure
