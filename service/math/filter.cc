#include "math/filter.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "math/elementary.h"

namespace brakeward::math {
namespace {

constexpr double kSamplesPerClass = 10.0;

std::vector<std::string> faults_in(double channel_class, double sample_rate_hz) {
  std::vector<std::string> faults;
  if (!(channel_class > 0.0) || !std::isfinite(channel_class)) {
    faults.push_back(absl::StrCat("channel class ", channel_class, ": give a positive number"));
  }
  if (!(sample_rate_hz > 0.0) || !std::isfinite(sample_rate_hz)) {
    faults.push_back(absl::StrCat("sample rate ", sample_rate_hz, " Hz: give a positive number"));
  }
  if (faults.empty() && sample_rate_hz < kSamplesPerClass * channel_class) {
    faults.push_back(absl::StrCat("sample rate ", sample_rate_hz, " Hz is below ", kSamplesPerClass,
                                  " times the channel class ", channel_class, ": give ",
                                  kSamplesPerClass * channel_class, " Hz or more, or a class of ",
                                  sample_rate_hz / kSamplesPerClass, " or less"));
  }
  return faults;
}

CfcCoefficients design(double channel_class, double sample_rate_hz) {
  constexpr double kPi = 0x1.921fb54442d18p+1, kSqrt2 = 0x1.6a09e667f3bcdp+0;
  const double half_angle = kPi * channel_class * 2.0775 / sample_rate_hz;
  const double w = sine(half_angle) / cosine(half_angle);
  const double scale = 1.0 + kSqrt2 * w + w * w;
  CfcCoefficients c;
  c.a0 = w * w / scale;
  c.a1 = 2.0 * c.a0;
  c.a2 = c.a0;
  c.b1 = -2.0 * (w * w - 1.0) / scale;
  c.b2 = (-1.0 + kSqrt2 * w - w * w) / scale;
  return c;
}

// In place, starting in the steady state of the first sample.
void run(const CfcCoefficients& c, std::vector<double>* samples) {
  if (samples->empty()) return;
  double x1 = samples->front(), x2 = x1, y1 = x1, y2 = x1;
  for (double& sample : *samples) {
    const double x = sample;
    sample = c.a0 * x + c.a1 * x1 + c.a2 * x2 + c.b1 * y1 + c.b2 * y2;
    x2 = x1;
    x1 = x;
    y2 = y1;
    y1 = sample;
  }
}

}  // namespace

double low_pass_coefficient(double time_constant_s, double step_s) {
  if (time_constant_s <= 0.0) return 1.0;
  return 1.0 - exponential(-step_s / time_constant_s);
}

absl::StatusOr<CfcCoefficients> cfc_coefficients(double channel_class, double sample_rate_hz) {
  const std::vector<std::string> faults = faults_in(channel_class, sample_rate_hz);
  if (!faults.empty()) return absl::InvalidArgumentError(absl::StrJoin(faults, "; "));
  return design(channel_class, sample_rate_hz);
}

absl::StatusOr<std::vector<double>> cfc_filter(std::span<const double> samples, double channel_class,
                                               double sample_rate_hz) {
  std::vector<std::string> faults = faults_in(channel_class, sample_rate_hz);
  const auto is_bad = [](double sample) { return !std::isfinite(sample); };
  const auto bad = std::count_if(samples.begin(), samples.end(), is_bad);
  if (bad > 0) {
    const auto first = std::find_if(samples.begin(), samples.end(), is_bad);
    faults.push_back(absl::StrCat(bad, " of ", samples.size(),
                                  " samples are not finite, the first at position ", first - samples.begin(),
                                  ": fill or cut them before filtering"));
  }
  if (!faults.empty()) return absl::InvalidArgumentError(absl::StrJoin(faults, "; "));

  const CfcCoefficients c = design(channel_class, sample_rate_hz);
  std::vector<double> filtered(samples.begin(), samples.end());
  run(c, &filtered);
  std::reverse(filtered.begin(), filtered.end());
  run(c, &filtered);
  std::reverse(filtered.begin(), filtered.end());
  return filtered;
}

std::vector<double> centred_moving_average(std::span<const double> samples, size_t half_width) {
  std::vector<double> means(samples.size());
  for (size_t i = 0; i < samples.size(); ++i) {
    // Summed afresh each time: a running sum would carry its rounding, and a NaN, to the end.
    const size_t reach = std::min({half_width, i, samples.size() - 1 - i});
    double sum = 0.0;
    for (size_t k = i - reach; k <= i + reach; ++k) sum += samples[k];
    means[i] = sum / static_cast<double>(2 * reach + 1);
  }
  return means;
}

}  // namespace brakeward::math
