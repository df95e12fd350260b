// Filters for sampled signals.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "absl/status/statusor.h"

namespace brakeward::math {

// c of the first-order low-pass y += c (x - y): c = 1 - exp(-step / time constant), exact for an input held
// over the step. 1 (no filter) for a time constant of 0. Both >= 0.
double low_pass_coefficient(double time_constant_s, double step_s);

// Second-order low-pass of SAE J211-1 App. C (ISO 6487):
// y[i] = a0 x[i] + a1 x[i-1] + a2 x[i-2] + b1 y[i-1] + b2 y[i-2].
struct CfcCoefficients {
  double a0, a1, a2, b1, b2;
};

// `channel_class` is the CFC (60, 180, 600, 1000, or any other); run forward and backward the filter is
// 3 dB down at 5/3 of it in Hz. Refuses a class that is not positive and a sample rate below 10 x class.
absl::StatusOr<CfcCoefficients> cfc_coefficients(double channel_class, double sample_rate_hz);

// Filters forward and then backward: four poles, no phase shift. Start-up rule: each pass begins in the
// steady state of its first sample, as if that had been held for ever; nothing is padded. Refuses samples
// that are not finite, besides what cfc_coefficients refuses.
absl::StatusOr<std::vector<double>> cfc_filter(std::span<const double> samples, double channel_class,
                                               double sample_rate_hz);

// Mean over `half_width` samples on either side and the sample itself. Near the ends the window shrinks on
// both sides alike, so that it stays centred; the first and last sample are unchanged.
std::vector<double> centred_moving_average(std::span<const double> samples, size_t half_width);

}  // namespace brakeward::math
