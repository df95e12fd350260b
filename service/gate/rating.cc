#include "gate/rating.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/ascii.h"
#include "math/filter.h"
#include "measure/rating.h"
#include "recording/recording.h"
#include "signal/observables.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::gate {
namespace {

using Series = std::vector<double>;
using verdict::concat;

constexpr int kDecimals = 2;

Series column_of(const replay::Trace& trace, size_t column) {
  Series out(static_cast<size_t>(trace.ticks));
  for (size_t i = 0; i < out.size(); ++i) out[i] = trace.rows[i * signal::kObservableCount + column];
  return out;
}

// Nothing was recorded at a tick: measure::kNotRecorded, in whatever unit.
bool is_recorded(double x) {
  return x > 1e-6 * measure::kNotRecorded;
}

// Samples of both where the recording is there.
struct Pair {
  Series recorded, replayed;
};

Pair where(const Series& moving, const Series& recorded, const Series& replayed) {
  Pair out;
  for (size_t i = 0; i < std::min(recorded.size(), replayed.size()); ++i) {
    if (!is_recorded(moving[i]) || !is_recorded(recorded[i])) continue;
    out.recorded.push_back(recorded[i]);
    out.replayed.push_back(replayed[i]);
  }
  return out;
}

Series thinned(const Series& x) {
  const size_t every = std::max<size_t>(1, (x.size() + kMostRatedSamples - 1) / kMostRatedSamples);
  Series out;
  for (size_t i = 0; i < x.size(); i += every) out.push_back(x[i]);
  return out;
}

void add_channel(const char* channel, const char* unit, const Pair& pair,
                 std::vector<verdict::ChannelRating>& out) {
  if (pair.recorded.empty()) return;
  verdict::ChannelRating c;
  c.channel = channel;
  c.unit = unit;
  double square = 0;
  for (size_t i = 0; i < pair.recorded.size(); ++i) {
    const double error = pair.replayed[i] - pair.recorded[i];
    square += error * error;
    if (std::fabs(error) > std::fabs(c.peak_error)) c.peak_error = error;
  }
  c.rms_error = std::sqrt(square / static_cast<double>(pair.recorded.size()));
  const Series recorded = thinned(pair.recorded), replayed = thinned(pair.replayed);
  if (const auto rating = measure::rate(recorded, replayed)) {
    c.rating = rating->total;
    c.corridor = rating->corridor;
    c.phase = rating->phase;
    c.magnitude = rating->magnitude;
    c.slope = rating->slope;
  } else {
    c.reason = std::string(measure::why_not_rated(recorded, replayed));
  }
  out.push_back(std::move(c));
}

std::string asked_channel(const v1::RatingThreshold& t) {
  if (t.channel() == v1::RATED_CHANNEL_UNSPECIFIED) return "";
  return absl::AsciiStrToLower(v1::RatedChannel_Name(t.channel()).substr(sizeof("RATED_CHANNEL_") - 1));
}

std::string below(const verdict::ChannelRating& c, double rating, const v1::RatingThreshold& t,
                  const std::string& recording) {
  const auto printed = verdict::format_apart(rating, t.minimum(), kDecimals);
  const auto part = [](double x) { return verdict::format_number(x, kDecimals); };
  return concat(
      "the ", c.channel, " of recording \"", recording, "\" is reproduced with a rating of ", printed.value,
      " only (corridor ", part(c.corridor), ", phase ", part(c.phase), ", magnitude ", part(c.magnitude),
      ", slope ", part(c.slope), "); asked is ", printed.bound,
      ". A recording that matches the vehicle document, or a corrected vehicle document, would settle it");
}

std::string threshold_fault(const v1::RatingThreshold& t, const std::string& recording, bool fitted,
                            const std::vector<verdict::ChannelRating>& channels) {
  if (!fitted)
    return concat(
        "a rating is asked, and recording \"", recording,
        "\" does not say which calibration was on the car; a recording that names it would settle it");
  const std::string asked = asked_channel(t);
  bool found = false;
  for (const verdict::ChannelRating& c : channels) {
    if (!asked.empty() && c.channel != asked) continue;
    found = true;
    if (!c.rating)
      return concat("the ", c.channel, " of recording \"", recording, "\" cannot be rated: ", c.reason,
                    "; a recording with more in that channel would settle it");
    if (*c.rating < t.minimum()) return below(c, *c.rating, t, recording);
  }
  if (found) return "";
  return concat("a rating of the ", asked.empty() ? "recorded channels" : asked,
                " is asked, and recording \"", recording,
                "\" has no such channel; a recording with it would settle it");
}

}  // namespace

std::vector<verdict::ChannelRating> rate_channels(const Session& s, const v1::Scenario& scenario,
                                                  const compile::CompiledScenario& replayed) {
  const replay::Trace trace = replay::trace(replayed.plan);
  const auto column = [&](const char* name) { return column_of(trace, signal::column_of(name)); };
  const double tick_s = replayed.context.tick_s;
  const Series moving = column("recorded_deceleration");
  const size_t half = static_cast<size_t>(std::llround(compile::kRecordedSmoothing / tick_s));
  std::vector<verdict::ChannelRating> out;
  add_channel("deceleration", "m/s^2",
              where(moving, moving, math::centred_moving_average(column("deceleration"), half)), out);
  add_channel("pressure", "bar", where(moving, column("recorded_pressure"), column("pressure_front")), out);
  add_channel(
      "speed", "m/s",
      where(moving, recorded_speed(s, scenario, tick_s, static_cast<size_t>(trace.ticks)), column("speed")),
      out);
  return out;
}

std::string rating_fault(const v1::ToleranceSet& tolerances, const v1::Scenario& scenario, bool fitted,
                         const std::vector<verdict::ChannelRating>& channels) {
  if (!scenario.has_recorded() || scenario.has_follow()) return "";
  for (const v1::RatingThreshold& t : tolerances.ratings()) {
    if (t.scenario_class() != scenario.scenario_class()) continue;
    std::string fault = threshold_fault(t, scenario.recorded().recording(), fitted, channels);
    if (!fault.empty()) return fault;
  }
  return "";
}

std::vector<double> recorded_speed(const Session& s, const v1::Scenario& scenario, double tick_s,
                                   size_t ticks) {
  if (!scenario.has_recorded() || ticks == 0) return {};
  const auto& input = scenario.recorded();
  const scenario::LoadedRecording* recording = s.library->recording_named(input.recording());
  const double start_s = input.has_start_s() ? input.start_s() : 0;
  const double end_s = std::min(input.has_end_s() ? input.end_s() : 1e9, recording->log.time_s.back());
  const double wanted = (end_s - start_s) / tick_s;
  const size_t there =
      wanted < static_cast<double>(ticks) ? static_cast<size_t>(std::max(0.0, wanted)) : ticks;
  return recording::resample(recording->log, recording::Signal::kSpeed, start_s + tick_s, tick_s, there);
}

}  // namespace brakeward::gate
