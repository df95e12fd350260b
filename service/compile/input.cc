#include <algorithm>
#include <cmath>

#include "compile/parts.h"
#include "compile/units.h"
#include "math/filter.h"
#include "recording/recording.h"
#include "signal/onset.h"

namespace brakeward::compile {
namespace {

using recording::Signal;
using Series = std::vector<double>;

constexpr double kZeroing = 0.3;        // s at the start of the stretch whose mean is the pressure zero
constexpr double kHandsOff = 0.15;      // s around a request during which the accelerator is left alone
constexpr double kHeldBack = 0.1;       // s before the recorded release: the input held from then on
constexpr double kCoastsBefore = 0.5;   // s, before a request of which feel is read
constexpr double kComparedAbove = 1.0;  // m/s, recorded speed
constexpr double kCoasting = -1;

size_t ticks_of(double seconds, double tick_s) {
  return static_cast<size_t>(std::llround(seconds / tick_s));
}

Series smooth(const Series& y, double tick_s) {
  return math::centred_moving_average(y, ticks_of(kRecordedSmoothing, tick_s));
}

// A request in shares of its onset threshold, whichever control it comes from.
Series request_of(const replay::ReplayPlan& plan, bool pressure_entry) {
  const Series& travel = plan.input[replay::kHandTravel];
  const Series& force = plan.input[replay::kPedalForce];
  const Series& pressure = plan.input[replay::kFrontLinePressure];
  Series out(travel.size());
  for (size_t i = 0; i < out.size(); ++i)
    out[i] = pressure_entry ? pressure[i] / signal::kOnsetPressure
                            : std::max(travel[i] / signal::kOnsetTravel, force[i] / signal::kOnsetForce);
  return out;
}

void hold_last_sample(replay::ReplayPlan& plan, size_t from) {
  const size_t back = std::min(from, ticks_of(kHeldBack, plan.structure.plant.tick_s));
  for (replay::InputChannel c : {replay::kHandTravel, replay::kPedalForce}) {
    Series& y = plan.input[c];
    const double held = y[from - back];
    std::fill(y.begin() + static_cast<long>(from - back), y.begin() + static_cast<long>(from), held);
  }
  for (Series& y : plan.input) y.resize(from);
  plan.input[replay::kTargetSpeed].back() = kCoasting;
  plan.input[replay::kRecordedDeceleration].back() = measure::kNotRecorded;
  plan.input[replay::kRecordedPressure].back() = measure::kNotRecorded;
}

// Where a driver lets go for good: the end of the last stretch above half of the request's peak.
size_t release_tick(const Series& request) {
  const double half = 0.5 * *std::max_element(request.begin(), request.end());
  size_t at = request.size();
  while (at > 0 && request[at - 1] < half) --at;
  return at;
}

absl::Status find_onset(const Sources& src, const Series& request, CompiledScenario& out) {
  const auto it = std::find_if(request.begin(), request.end(), [](double x) { return x > 1; });
  if (it == request.end())
    return bad(src.scenario, "input",
               "no request beyond 2 mm, 22 N or 1 bar; nothing brakes in this stretch");
  const auto tick = it - request.begin();
  out.plan.params.fold.onset_tick = static_cast<double>(tick);
  out.context.onset_s = static_cast<double>(tick) * out.context.tick_s;
  return absl::OkStatus();
}

// Accelerator: held at the recorded (or initial) speed until and between requests, released around them.
void target_speed(const Series& request, const Series& speed, double tick_s, Series& out) {
  const long around = static_cast<long>(ticks_of(kHandsOff, tick_s));
  const long count = static_cast<long>(request.size());
  out = speed;
  for (long i = 0; i < count; ++i)
    if (request[static_cast<size_t>(i)] > 0.5)
      std::fill(out.begin() + std::max(0L, i - around), out.begin() + std::min(count, i + around + 1),
                kCoasting);
}

// The request comes later and is larger in a variation.
void vary_request(const Sources& src, double tick_s, Series& request) {
  delay_series(src.variation.late_s, tick_s, request);
  if (src.variation.amplitude != 1)
    for (double& y : request) y *= src.variation.amplitude;
}

double synthetic_level(const v1::SyntheticInput& s, double t) {
  const double since = t - s.onset_s(), left = s.rise_s() + s.hold_s() + s.fall_s() - since;
  if (since < 0 || left < 0) return 0;
  if (left < s.fall_s()) return left / s.fall_s();
  switch (s.shape()) {
    case v1::SYNTHETIC_SHAPE_RAMP:
      return s.rise_s() > 0 ? std::min(1.0, since / s.rise_s()) : 1;
    case v1::SYNTHETIC_SHAPE_PULSE_TRAIN:
      return std::fmod(since, s.period_s()) < 0.5 * s.period_s() ? 1 : 0;
    default:
      return 1;
  }
}

absl::Status synthetic_input(const Sources& src, CompiledScenario& out) {
  const v1::SyntheticInput& s = src.scenario.synthetic();
  const bool hand = s.control() == v1::REQUEST_CONTROL_HAND;
  if ((hand ? s.travel_mm() : s.force_n()) <= 0)
    return bad(src.scenario, hand ? "synthetic.travel_mm" : "synthetic.force_n",
               "0; give the amplitude of the request");
  if (!src.scenario.has_initial_speed_kph())
    return bad(src.scenario, "initial_speed_kph", "unset; a synthetic input needs it");
  const double tick_s = out.context.tick_s;
  const double over_s = s.onset_s() + s.rise_s() + s.hold_s() + s.fall_s();
  const double length = std::min(src.scenario.longest_s(), over_s + s.after_s());
  const size_t count = ticks_of(length, tick_s) + 1;
  replay::ReplayPlan& plan = out.plan;
  for (Series& y : plan.input) y.assign(count, 0);
  Series& request = plan.input[hand ? replay::kHandTravel : replay::kPedalForce];
  const double amplitude = hand ? s.travel_mm() * kMilli : s.force_n();
  for (size_t i = 0; i < count; ++i)
    request[i] = amplitude * synthetic_level(s, static_cast<double>(i) * tick_s);
  vary_request(src, tick_s, request);
  const double speed = src.scenario.initial_speed_kph() * kKph;
  plan.params.plant.start_speed = speed;
  const double coasts_s = s.onset_s() + src.variation.late_s - (src.scenario.has_feel() ? kCoastsBefore : 0);
  const size_t onset = std::min(count, ticks_of(std::max(0.0, coasts_s), tick_s));
  std::fill_n(plan.input[replay::kTargetSpeed].begin(), onset, speed);
  std::fill(plan.input[replay::kTargetSpeed].begin() + static_cast<long>(onset),
            plan.input[replay::kTargetSpeed].end(), kCoasting);
  if (s.has_drives_on_after_s()) {
    const size_t on = std::min(count, ticks_of(over_s + s.drives_on_after_s(), tick_s));
    std::fill(plan.input[replay::kTargetSpeed].begin() + static_cast<long>(on),
              plan.input[replay::kTargetSpeed].end(), speed);
  }
  plan.input[replay::kRecordedDeceleration].assign(count, measure::kNotRecorded);
  plan.input[replay::kRecordedPressure].assign(count, measure::kNotRecorded);
  return absl::OkStatus();
}

struct Stretch {
  double start_s, end_s;
  size_t count;
};

absl::StatusOr<Stretch> stretch_of(const Sources& src, double tick_s) {
  const v1::RecordedInput& r = src.scenario.recorded();
  const double last = src.log->time_s.back();
  const double start = r.has_start_s() ? r.start_s() : 0;
  const double end = r.has_end_s() ? r.end_s() : last;
  if (start < 0 || end > last + 1e-9 || end - start < 0.1)
    return bad(src.scenario, "recorded",
               "the stretch from " + std::to_string(start) + " s to " + std::to_string(end) +
                   " s is not inside the recording, which runs from 0 s to " + std::to_string(last) +
                   " s after its first sample; give at least 0.1 s inside it");
  return Stretch{start, end, ticks_of(std::min(end - start, src.scenario.longest_s()), tick_s) + 1};
}

absl::Status need(const Sources& src, Signal s) {
  if (src.log->has(s)) return absl::OkStatus();
  return bad(src.scenario, "recorded.recording",
             "the recording has no " + std::string(recording::name(s)) +
                 " channel, which this entry point needs; map it or choose another entry point");
}

void recorded_pressure(const Sources& src, const Stretch& st, double tick_s, replay::ReplayPlan& plan) {
  const auto zeroed = [&](Signal s) {
    Series y = recording::resample(*src.log, s, st.start_s, tick_s, st.count);
    const size_t n = std::min(y.size(), ticks_of(kZeroing, tick_s) + 1);
    double sum = 0;
    for (size_t i = 0; i < n; ++i) sum += y[i];
    for (double& p : y) p = std::max(0.0, p - sum / static_cast<double>(n));
    return y;
  };
  Series& front = plan.input[replay::kFrontLinePressure];
  Series& rear = plan.input[replay::kRearLinePressure];
  front = zeroed(Signal::kFrontPressure);
  if (src.log->has(Signal::kRearPressure)) {
    rear = zeroed(Signal::kRearPressure);
  } else {
    rear = front;
    for (double& p : rear) p *= src.scenario.recorded().rear_pressure_ratio();
  }
}

// Recorded deceleration (logged, or the slope of the recorded speed) and front pressure, where the car moved.
void recorded_comparison(const Sources& src, const Stretch& st, const Series& speed, double tick_s,
                         replay::ReplayPlan& plan) {
  Series& deceleration = plan.input[replay::kRecordedDeceleration];
  Series& pressure = plan.input[replay::kRecordedPressure];
  deceleration.assign(st.count, measure::kNotRecorded);
  pressure.assign(st.count, measure::kNotRecorded);
  Series logged(st.count, 0);
  if (src.log->has(Signal::kDeceleration)) {
    logged = recording::resample(*src.log, Signal::kDeceleration, st.start_s, tick_s, st.count);
  } else {
    for (size_t i = 1; i + 1 < st.count; ++i) logged[i] = (speed[i - 1] - speed[i + 1]) / (2 * tick_s);
  }
  logged = smooth(logged, tick_s);
  const bool has_pressure = src.log->has(Signal::kFrontPressure) && !plan.structure.plant.pressure_entry;
  const Series front =
      has_pressure ? recording::resample(*src.log, Signal::kFrontPressure, st.start_s, tick_s, st.count)
                   : Series(st.count, measure::kNotRecorded);
  for (size_t i = 0; i < st.count; ++i) {
    if (speed[i] <= kComparedAbove) continue;
    deceleration[i] = logged[i];
    pressure[i] = front[i];
  }
}

absl::Status recorded_input(const Sources& src, CompiledScenario& out) {
  const double tick_s = out.context.tick_s;
  const auto st = stretch_of(src, tick_s);
  if (!st.ok()) return st.status();
  replay::ReplayPlan& plan = out.plan;
  for (Series& y : plan.input) y.assign(st->count, 0);
  if (out.context.pressure_entry) {
    if (absl::Status s = need(src, Signal::kFrontPressure); !s.ok()) return s;
    recorded_pressure(src, *st, tick_s, plan);
  } else {
    const bool hand = src.log->has(Signal::kHandTravel), pedal = src.log->has(Signal::kPedalForce);
    if (!hand && !pedal && !src.scenario.has_follow()) return need(src, Signal::kHandTravel);
    if (hand)
      plan.input[replay::kHandTravel] =
          recording::resample(*src.log, Signal::kHandTravel, st->start_s, tick_s, st->count);
    if (pedal)
      plan.input[replay::kPedalForce] =
          recording::resample(*src.log, Signal::kPedalForce, st->start_s, tick_s, st->count);
  }
  if (!src.scenario.has_follow())
    for (auto c : {replay::kHandTravel, replay::kPedalForce}) vary_request(src, tick_s, plan.input[c]);
  const bool has_speed = src.log->has(Signal::kSpeed);
  if (!has_speed && !src.scenario.has_initial_speed_kph())
    return bad(src.scenario, "initial_speed_kph",
               "unset, and the recording has no speed channel; give one of them");
  const Series speed =
      has_speed
          ? smooth(recording::resample(*src.log, Signal::kSpeed, st->start_s, tick_s, st->count), tick_s)
          : Series(st->count, src.scenario.initial_speed_kph() * kKph);
  plan.params.plant.start_speed =
      src.scenario.has_initial_speed_kph() ? src.scenario.initial_speed_kph() * kKph : speed.front();
  if (src.scenario.has_follow()) {
    if (absl::Status s = need(src, Signal::kSpeed); !s.ok()) return s;
    const bool logged = src.log->has(Signal::kHandTravel) || src.log->has(Signal::kPedalForce);
    return plan_followed(src, logged ? request_of(plan, false) : Series(), speed, out);
  }
  target_speed(request_of(plan, out.context.pressure_entry), speed, tick_s, plan.input[replay::kTargetSpeed]);
  if (has_speed)
    recorded_comparison(src, *st, speed, tick_s, plan);
  else
    for (auto c : {replay::kRecordedDeceleration, replay::kRecordedPressure})
      plan.input[c].assign(st->count, measure::kNotRecorded);
  return absl::OkStatus();
}

absl::Status stated_input(const Sources& src, CompiledScenario& out) {
  Series speed = stated_speed(src.scenario, out.context.tick_s);
  out.plan.params.plant.start_speed =
      src.scenario.has_initial_speed_kph() ? src.scenario.initial_speed_kph() * kKph : speed.front();
  return plan_followed(src, {}, std::move(speed), out);
}

absl::Status make_input(const Sources& src, CompiledScenario& out) {
  if (src.scenario.has_stated()) return stated_input(src, out);
  return src.scenario.has_recorded() ? recorded_input(src, out) : synthetic_input(src, out);
}

}  // namespace

absl::Status compile_input(const Sources& src, CompiledScenario& out) {
  const bool recorded = src.scenario.has_recorded();
  if (recorded && src.log == nullptr)
    return bad(src.scenario, "recorded.recording", "the recording was not loaded");
  if (absl::Status s = make_input(src, out); !s.ok()) return s;
  replay::ReplayPlan& plan = out.plan;
  const Series request = request_of(plan, out.context.pressure_entry);
  if (absl::Status s = find_onset(src, request, out); !s.ok()) return s;
  const Series& travel = plan.input[replay::kHandTravel];
  out.context.by_pedal = *std::max_element(travel.begin(), travel.end()) <= signal::kOnsetTravel;
  plan.params.ends_standing = out.context.ends_standing ? 1 : 0;
  const size_t length = request.size();
  plan.params.last_tick = static_cast<double>(length - 1);
  if (!out.context.ends_standing) return absl::OkStatus();
  plan.params.last_tick = static_cast<double>(ticks_of(src.scenario.longest_s(), out.context.tick_s));
  const size_t release = release_tick(request);
  if (recorded && !out.context.follows && release < length) {
    out.extrapolated_from_s = static_cast<double>(release) * out.context.tick_s;
    hold_last_sample(plan, release);
  }
  return absl::OkStatus();
}

}  // namespace brakeward::compile
