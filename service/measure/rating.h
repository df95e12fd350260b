// How well one signal reproduces another: the objective rating of ISO/TS 18571 (second edition 2024-05; the
// algorithm as read in an open implementation, the ranks from memory), in our own code.
//
// Corridor (weight 0.4): per sample 1 within 5 % of the reference's greatest magnitude, 0 beyond 50 %, the
// square of the share in between; their mean. Phase (0.2): the lag of best correlation, at most 20 % of the
// samples; 1 at no lag, falling linearly to 0 there. Magnitude (0.2): the mean difference of both curves
// along their dynamic time warp, after the lag is taken out and within a band of 10 % of the samples, over
// the mean of the reference; 1 at 0, falling linearly to 0 at 0.5. Slope (0.2): the same of the slopes,
// smoothed over nine samples, without warp; 0 at 2.
//
// The document asks for samples at 10 kHz, as crash tests have them. Logs of brakes come at 100 Hz to 1 kHz:
// the caller chooses the rate, and the nine samples of the slope last as long as nine of its samples.
#pragma once

#include <optional>
#include <span>
#include <string_view>

namespace brakeward::measure {

struct Rating {
  double corridor = 0, phase = 0, magnitude = 0, slope = 0;  // 0 to 1
  double total = 0;                                          // weighted sum R
  long lag = 0;  // samples by which `compared` comes late; negative when early
};

// Fewer samples than this are not rated.
inline constexpr size_t kLeastRatedSamples = 50;

// Why the two cannot be rated, static text; empty where they can: unequal or few samples, a value that is not
// finite, a reference that is constant (its correlation and slope say nothing).
std::string_view why_not_rated(std::span<const double> reference, std::span<const double> compared);

// Both equally spaced and equally long. Nothing where why_not_rated() says why. Where `compared` is constant
// no lag correlates: the phase is then 0 and nothing is shifted. Of equal correlations the smaller lag
// counts, of equal lags the late one; a warp that may step either way steps along both.
std::optional<Rating> rate(std::span<const double> reference, std::span<const double> compared);

// The words for R: above 0.94 "excellent", 0.80 "good", 0.58 "fair", else "poor" (limits from memory).
std::string_view rank(double rating);

}  // namespace brakeward::measure
