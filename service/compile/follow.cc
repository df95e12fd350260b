#include <algorithm>
#include <cmath>

#include "compile/curve.h"
#include "compile/parts.h"
#include "compile/units.h"
#include "math/curve.h"
#include "math/filter.h"

namespace brakeward::compile {
namespace {

using Series = std::vector<double>;

constexpr double kSlope = 0.1;            // s on either side over which the followed deceleration is taken
constexpr double kMeant = 0.2;            // m/s^2; less is no braking where a speed is stated
constexpr double kMeantLogged = 1;        // m/s^2; the same of a log without a request
constexpr double kNearlyStands = 1;       // m/s; below it a followed stop goes on as it was
constexpr double kCoastingAround = 0.15;  // s around braking in which the accelerator is left alone
constexpr double kHair = 1e-9;            // m or N: the driver means to brake and plans nothing for it
constexpr double kAfterStated = 1;        // s replayed after the last point of what is stated
constexpr double kCoasting = -1;

Series slope_of(const Series& speed, double tick_s) {
  const size_t around = std::max<size_t>(1, static_cast<size_t>(std::llround(kSlope / tick_s)));
  Series out(speed.size(), 0);
  for (size_t i = 0; i < speed.size(); ++i) {
    const size_t from = i < around ? 0 : i - around, to = std::min(speed.size() - 1, i + around);
    if (to > from) out[i] = (speed[from] - speed[to]) / (static_cast<double>(to - from) * tick_s);
  }
  return out;
}

// A stated speed has no noise to smooth.
Series next_slope_of(const Series& speed, double tick_s) {
  Series out(speed.size(), 0);
  for (size_t i = 0; i + 1 < speed.size(); ++i) out[i] = (speed[i] - speed[i + 1]) / tick_s;
  return out;
}

// From where a followed stop nearly stands it goes on with the deceleration it had there: what comes after is
// standstill and release, and nothing to follow. False when it never comes there.
bool carry_on(double tick_s, size_t count, Series& speed, Series& deceleration, std::vector<bool>& meant) {
  size_t at = 0;
  while (at < speed.size() && (speed[at] >= kNearlyStands || !meant[at])) ++at;
  if (at == speed.size()) return false;
  const size_t before = static_cast<size_t>(std::llround(kSlope / tick_s));
  const double held = std::max(kMeant, deceleration[at < before ? 0 : at - before]);
  speed.resize(count);
  deceleration.resize(count);
  meant.resize(count);
  for (size_t i = at + 1; i < count; ++i) {
    speed[i] = speed[i - 1] - held * tick_s;
    meant[i] = true;
  }
  for (size_t i = at < before ? 0 : at - before; i < count; ++i) deceleration[i] = held;
  return true;
}

bool by_pedal(const v1::FollowingDriver& f) {
  return f.control() == v1::REQUEST_CONTROL_PEDAL;
}

// m or N per m/s^2.
double gain_of(const v1::FollowingDriver& f) {
  return by_pedal(f) ? f.force_n_per_mps2() : f.travel_mm_per_mps2() * kMilli;
}

void constants(const Sources& src, double tick_s, driver::FollowParams<double>& out) {
  const v1::FollowingDriver& f = src.scenario.follow();
  out.by_pedal = by_pedal(f) ? 1 : 0;
  out.correction = f.has_correction_s() ? gain_of(f) / f.correction_s() : 0;
  out.reaction_ticks = f.reaction_ms() * kMilli / tick_s;
  out.response = math::low_pass_coefficient(f.neuromuscular_lag_ms() * kMilli, tick_s);
  const double hand =
      f.has_travel_limit_mm() ? f.travel_limit_mm() : src.vehicle.sensors().hand_travel_limit_mm();
  out.limit = by_pedal(f) ? f.force_limit_n() : hand * kMilli;
}

// What he plans for the deceleration where he means to brake; nothing elsewhere.
Series plan_of(const Sources& src, const Series& deceleration, const std::vector<bool>& meant, double limit) {
  const v1::FollowingDriver& f = src.scenario.follow();
  const double gain = gain_of(f), offset = by_pedal(f) ? f.force_n() : f.travel_mm() * kMilli;
  Series out(deceleration.size(), 0);
  for (size_t i = 0; i < out.size(); ++i)
    if (meant[i])
      out[i] = std::clamp(src.variation.amplitude * (offset + gain * deceleration[i]), kHair, limit);
  return out;
}

// Accelerator: released around braking, else held at the followed speed.
Series accelerator(const Series& speed, const Series& planned, const std::vector<bool>& meant,
                   double tick_s) {
  const long around = std::lround(kCoastingAround / tick_s), count = static_cast<long>(speed.size());
  Series out(speed.size());
  for (long i = 0; i < count; ++i) out[static_cast<size_t>(i)] = std::max(0.0, speed[static_cast<size_t>(i)]);
  for (long i = 0, done = 0; i < count; ++i) {
    if (planned[static_cast<size_t>(i)] <= 0 && !meant[static_cast<size_t>(i)]) continue;
    const long to = std::min(count, i + around + 1);
    for (long k = std::max(done, i - around); k < to; ++k) out[static_cast<size_t>(k)] = kCoasting;
    done = std::max(done, to);
  }
  return out;
}

math::Curve<double> curve_of(const v1::Curve& curve, double y_unit, int* segments) {
  *segments = 0;
  return engine_curve(curve, 1, y_unit, 0, segments);
}

}  // namespace

Series stated_speed(const v1::Scenario& s, double tick_s) {
  const v1::Curve& given =
      s.stated().has_speed_kph() ? s.stated().speed_kph() : s.stated().deceleration_mps2();
  const double last_s = given.points(given.points_size() - 1).x();
  const bool stop = s.end_rule() == v1::END_RULE_STANDSTILL;
  const double length_s = stop ? s.longest_s() : std::min(s.longest_s(), last_s + kAfterStated);
  Series out(static_cast<size_t>(std::llround(length_s / tick_s)) + 1);
  int segments = 0;
  if (s.stated().has_speed_kph()) {
    const auto curve = curve_of(given, kKph, &segments);
    for (size_t i = 0; i < out.size(); ++i)
      out[i] = math::value(curve, segments, static_cast<double>(i) * tick_s);
    return out;
  }
  const auto curve = curve_of(given, 1, &segments);
  out[0] = s.initial_speed_kph() * kKph;
  for (size_t i = 1; i < out.size(); ++i)
    out[i] = out[i - 1] - tick_s * math::value(curve, segments, (static_cast<double>(i) - 0.5) * tick_s);
  return out;
}

void delay_series(double seconds, double tick_s, Series& y) {
  if (seconds == 0 || y.empty()) return;
  const Series from = y;
  const double last = static_cast<double>(from.size() - 1);
  for (size_t i = 0; i < y.size(); ++i) {
    const double at = std::clamp(static_cast<double>(i) - seconds / tick_s, 0.0, last);
    const size_t below = std::min(static_cast<size_t>(at), from.size() - 1);
    const size_t above = std::min(below + 1, from.size() - 1);
    y[i] = from[below] + (at - static_cast<double>(below)) * (from[above] - from[below]);
  }
}

absl::Status plan_followed(const Sources& src, const Series& logged, Series speed, CompiledScenario& out) {
  const double tick_s = out.context.tick_s;
  replay::ReplayPlan& plan = out.plan;
  const v1::Scenario& s = src.scenario;
  out.context.follows = plan.structure.driver.follows = true;
  constants(src, tick_s, plan.params.follow);
  Series deceleration = s.has_stated() ? next_slope_of(speed, tick_s) : slope_of(speed, tick_s);
  std::vector<bool> meant(speed.size());
  for (size_t i = 0; i < speed.size(); ++i)
    meant[i] = logged.empty() ? deceleration[i] > (s.has_stated() ? kMeant : kMeantLogged) : logged[i] > 1;
  const auto count = static_cast<size_t>(std::llround(s.longest_s() / tick_s)) + 1;
  if (out.context.ends_standing &&
      !carry_on(tick_s, std::max(count, speed.size()), speed, deceleration, meant))
    return bad(s, s.has_stated() ? "stated" : "recorded",
               "the followed speed never comes below " + rounded(kNearlyStands / kKph, "km/h") +
                   " while braking; a stop to standstill needs that: take a longer stretch, or "
                   "END_RULE_END_OF_INPUT");
  Series planned = plan_of(src, deceleration, meant, plan.params.follow.limit);
  const v1::FollowingDriver& f = s.follow();
  delay_series((f.reaction_ms() - f.preview_ms()) * kMilli + src.variation.late_s, tick_s, planned);
  for (Series& y : plan.input) y.assign(speed.size(), 0);
  plan.input[replay::kTargetSpeed] = accelerator(speed, planned, meant, tick_s);
  plan.input[plan.params.follow.by_pedal > 0.5 ? replay::kPedalForce : replay::kHandTravel] =
      std::move(planned);
  plan.input[replay::kFollowedSpeed] = std::move(speed);
  for (auto c : {replay::kRecordedDeceleration, replay::kRecordedPressure})
    plan.input[c].assign(plan.input[0].size(), measure::kNotRecorded);
  return absl::OkStatus();
}

}  // namespace brakeward::compile
