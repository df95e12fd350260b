#include "gate/fit_predict.h"

#include <cmath>
#include <string_view>

#include "math/least_squares.h"
#include "replay/replay.h"
#include "signal/observables.h"

namespace brakeward::gate {
namespace {

constexpr size_t kSpeed = signal::column_of("speed");

// Passes that set the speed before the brake; each leaves about a fiftieth of the mismatch.
constexpr int kPasses = 3;

// Speed at time t; a row holds the state after its tick.
double speed_at(const replay::Trace& trace, double tick_s, double start_mps, double t) {
  const auto value = [&](long tick) {
    if (tick <= 0) return start_mps;
    const long row = std::min(tick, trace.ticks) - 1;
    return trace.rows[static_cast<size_t>(row * signal::kObservableCount) + kSpeed];
  };
  const double ticks = t / tick_s, whole = std::floor(ticks);
  const double low = value(static_cast<long>(whole));
  return low + (ticks - whole) * (value(static_cast<long>(whole) + 1) - low);
}

absl::StatusOr<replay::Trace> replayed(const replay::ReplayPlan& plan, const SampledStop& stop, double gain) {
  replay::Trace trace = replay::trace(plan);
  if (static_cast<double>(trace.ticks) >= plan.params.last_tick) return trace;
  return absl::InternalError("scenario " + stop.scenario + ": the replay turned non-finite after " +
                             std::to_string(static_cast<double>(trace.ticks) * plan.structure.plant.tick_s) +
                             " s at gain " + std::to_string(gain));
}

void shift_speeds(replay::ReplayPlan& plan, double shift_mps) {
  plan.params.plant.start_speed += shift_mps;
  for (double& v : plan.input[replay::kTargetSpeed])
    if (v >= 0) v = std::max(0.0, v + shift_mps);
}

}  // namespace

absl::StatusOr<Course> replay_course(const SampledStop& stop, double gain) {
  replay::ReplayPlan plan = stop.plan;
  for (auto& brake : plan.params.plant.brake) brake.torque_per_pascal *= gain;
  const double tick_s = plan.structure.plant.tick_s, begin = stop.time_s.front();
  plan.params.last_tick = std::ceil(begin / tick_s);
  for (int pass = 0; pass < kPasses; ++pass) {
    const auto entry = replayed(plan, stop, gain);
    if (!entry.ok()) return entry.status();
    shift_speeds(plan,
                 stop.speed_mps.front() - speed_at(*entry, tick_s, plan.params.plant.start_speed, begin));
  }
  plan.params.last_tick = stop.plan.params.last_tick;
  const auto trace = replayed(plan, stop, gain);
  if (!trace.ok()) return trace.status();
  Course course;
  for (double t : stop.time_s)
    course.speed_mps.push_back(speed_at(*trace, tick_s, plan.params.plant.start_speed, t));
  course.distance_m = trapezoids(stop.time_s, course.speed_mps);
  return course;
}

absl::StatusOr<GainFit> fit_gain_on(std::span<const SampledStop* const> stops, double start) {
  size_t count = 0;
  for (const auto* s : stops) count += s->time_s.size();
  const math::ResidualFunction residuals = [&](const Eigen::VectorXd& p) {
    Eigen::VectorXd r(static_cast<Eigen::Index>(count));
    Eigen::Index at = 0;
    for (const auto* s : stops) {
      const auto course = replay_course(*s, p[0]);
      for (size_t i = 0; i < s->time_s.size(); ++i)
        r[at++] = course.ok() ? course->speed_mps[i] - s->speed_mps[i] : std::nan("");
    }
    return r;
  };
  const auto fit = math::fit_nonlinear(residuals, Eigen::VectorXd::Constant(1, start));
  if (!fit.ok())
    return absl::FailedPreconditionError("no gain fits these stops: " + std::string(fit.status().message()));
  return GainFit{fit->parameters[0], std::sqrt(fit->residual_sum_of_squares / static_cast<double>(count))};
}

absl::StatusOr<Line> fit_line_on(std::span<const SampledStop* const> stops) {
  Eigen::Index rows = 0;
  for (const auto* s : stops)
    for (char straight : s->straight) rows += straight;
  Eigen::MatrixXd design(rows, 3);
  Eigen::VectorXd seen(rows);
  Eigen::Index k = 0;
  for (const auto* s : stops)
    for (size_t i = 0; i < s->time_s.size(); ++i) {
      if (!s->straight[i]) continue;
      design.row(k) << 1, s->pressure_bar[i], s->speed_mps[i] * s->speed_mps[i];
      seen[k++] = s->deceleration_mps2[i];
    }
  const auto fit = math::fit_linear(design, seen);
  if (!fit.ok())
    return absl::FailedPreconditionError("no plain line fits these stops: " +
                                         std::string(fit.status().message()));
  return Line{fit->coefficients[0], fit->coefficients[1], fit->coefficients[2]};
}

Line fit_constant_on(std::span<const SampledStop* const> stops) {
  double means = 0;
  for (const auto* s : stops) {
    double sum = 0, count = 0;
    for (size_t i = 0; i < s->time_s.size(); ++i) {
      sum += s->straight[i] ? s->deceleration_mps2[i] : 0;
      count += s->straight[i];
    }
    means += sum / count;
  }
  return {means / static_cast<double>(stops.size()), 0, 0};
}

Course line_course(const SampledStop& stop, const Line& line) {
  Course course;
  double v = stop.speed_mps.front();
  course.speed_mps.push_back(v);
  for (size_t i = 1; i < stop.time_s.size(); ++i) {
    const double step = stop.time_s[i] - stop.time_s[i - 1];
    const double next = v - step * (line.a + line.b * stop.pressure_bar[i - 1] + line.c * v * v);
    course.speed_mps.push_back(v = next);
  }
  course.distance_m = trapezoids(stop.time_s, course.speed_mps);
  return course;
}

Prediction judge_course(const SampledStop& stop, const Course& course) {
  Prediction p;
  p.speed_drop_mps = course.speed_mps.front() - course.speed_mps.back();
  p.distance_m = course.distance_m;
  p.speed_drop_error = p.speed_drop_mps / stop.speed_drop_mps - 1;
  p.distance_error = p.distance_m / stop.distance_m - 1;
  return p;
}

}  // namespace brakeward::gate
