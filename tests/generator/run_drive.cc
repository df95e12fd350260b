#include "generator/run_drive.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "compile/compile.h"
#include "math/elementary.h"
#include "math/random.h"
#include "signal/observables.h"

namespace brakeward::generator {
namespace {

constexpr double kStep = 1e-3;  // s
constexpr double kPi = 3.14159265358979323846;
constexpr double kLongestStop = 20;         // s
constexpr double kAfterStandstill = 0.35;   // s until the driver lets go
constexpr double kLiftsBefore = 0.2;        // s, accelerator released before the brake
constexpr double kAcceleratesAfter = 0.12;  // s after the brake is released
constexpr double kOpensThrottle = 1.0;      // s from nothing to the full acceleration
constexpr double kCoasting = -1;

size_t samples(double seconds) {
  return static_cast<size_t>(std::llround(seconds / kStep));
}

// Rises from 0 to 1 without a jerk at either end: 10 u^3 - 15 u^4 + 6 u^5.
double smooth_rise(double u) {
  u = std::clamp(u, 0.0, 1.0);
  return u * u * u * (10 + u * (6 * u - 15));
}

// What a held hand or foot adds to the plateau: a slow drift and a tremor of 8 to 11 Hz, shares of the level.
class Tremor {
 public:
  explicit Tremor(math::Random& random) {
    constexpr std::array<double, 5> kLowest = {0.25, 0.6, 8, 9, 10};
    constexpr std::array<double, 5> kSize = {0.008, 0.004, 0.002, 0.003, 0.002};
    for (size_t i = 0; i < kLowest.size(); ++i)
      waves_[i] = {kSize[i], 2 * kPi * kLowest[i] * (1 + 0.2 * random.uniform()), 2 * kPi * random.uniform()};
  }
  double at(double t) const {
    double sum = 0;
    for (const Wave& w : waves_) sum += w.size * math::sine(w.rate * t + w.phase);
    return sum;
  }

 private:
  struct Wave {
    double size, rate, phase;
  };
  std::array<Wave, 5> waves_;
};

// What the person does, by tick.
struct Person {
  recording::Log log;                // hand, pedal and a speed, as compile takes them
  std::vector<double> target_speed;  // m/s; negative with the accelerator released
};

std::vector<double>& channel(Person& person, recording::Signal s) {
  return person.log.signals[static_cast<size_t>(s)];
}

void extend(Person& person, size_t count, double target_speed) {
  for (auto s : {recording::Signal::kHandTravel, recording::Signal::kPedalForce})
    channel(person, s).resize(count, 0);
  channel(person, recording::Signal::kSpeed).resize(count, std::max(0.0, target_speed));
  person.target_speed.resize(count, target_speed);
  for (size_t i = person.log.time_s.size(); i < count; ++i)
    person.log.time_s.push_back(static_cast<double>(i) * kStep);
}

// Writes an application that begins at sample `onset` and is held for `hold_s`; the log ends with its
// release.
void apply(const Application& a, size_t onset, double hold_s, const Tremor& tremor, Person& person) {
  const double length = a.rise_s + hold_s + a.fall_s;
  extend(person, onset + samples(length) + 1, kCoasting);
  const bool hand = a.control == Control::kHand;
  auto& y = channel(person, hand ? recording::Signal::kHandTravel : recording::Signal::kPedalForce);
  const double unit = hand ? 1e-3 : 1;
  for (size_t i = onset; i < y.size(); ++i) {
    const double t = static_cast<double>(i - onset) * kStep;
    const double shape = smooth_rise(t / a.rise_s) * (1 - smooth_rise((t - a.rise_s - hold_s) / a.fall_s));
    y[i] = unit * a.level * shape * (1 + tremor.at(t));
  }
}

absl::StatusOr<replay::Trace> simulate(const Person& person, const v1::Vehicle& car,
                                       const v1::Calibration& calibration, v1::Scenario scenario) {
  const double end = person.log.time_s.back();
  scenario.clear_synthetic();
  scenario.mutable_recorded()->set_start_s(0);
  scenario.mutable_recorded()->set_end_s(end);
  scenario.mutable_recorded()->set_rear_pressure_ratio(1);
  scenario.clear_initial_speed_kph();
  scenario.set_longest_s(end + 1);
  scenario.set_entry_point(v1::ENTRY_POINT_REQUEST);
  scenario.set_end_rule(v1::END_RULE_END_OF_INPUT);
  auto compiled = compile::compile({car, calibration, calibration, scenario, &person.log});
  if (!compiled.ok()) return compiled.status();
  compiled->plan.input[replay::kTargetSpeed] = person.target_speed;
  return replay::trace(compiled->plan);
}

double speed_at(const replay::Trace& trace, size_t sample) {
  constexpr int kSpeed = 10;
  static_assert(std::string_view(signal::kObservables[kSpeed].name) == "speed");
  const size_t tick = std::min(sample, static_cast<size_t>(trace.ticks) - 1);
  return trace.rows[tick * signal::kObservableCount + kSpeed];
}

// Time from `onset` to standstill, or the longest allowed.
double time_to_standstill(const replay::Trace& trace, size_t onset) {
  for (size_t i = onset; i < static_cast<size_t>(trace.ticks); ++i)
    if (speed_at(trace, i) < 0.05) return static_cast<double>(i - onset) * kStep;
  return kLongestStop;
}

// Up to `until`: the accelerator is opened from speed `from` until `to` is regained, and held there.
void regain(double from, double to, double acceleration, size_t until, Person& person) {
  const size_t start = person.log.time_s.size();
  for (size_t i = start; i < until; ++i) {
    const double t = static_cast<double>(i + 1 - start) * kStep;
    const double rise = t < kOpensThrottle ? 0.5 * t * t / kOpensThrottle : t - 0.5 * kOpensThrottle;
    extend(person, i + 1, std::min(to, from + acceleration * rise));
  }
}

}  // namespace

absl::StatusOr<replay::Trace> run_drive(const Drive& drive, const v1::Vehicle& car,
                                        const v1::Calibration& calibration, const v1::Scenario& conditions) {
  if (car.tick_ms() != kStep * 1e3)
    return absl::InvalidArgumentError("the generator drives at a tick of 1 ms");
  math::Random random(math::seed_from("driver/" + std::string(drive.name)));
  Person person;
  for (const Application& a : drive.applications) {
    const Tremor tremor(random);
    const size_t released = person.log.time_s.size();
    const size_t onset = released + samples(a.wait_s);
    const double speed = a.speed_kph / 3.6;
    double exit_speed = speed;
    if (released > 0) {
      extend(person, released + samples(kAcceleratesAfter), kCoasting);
      const auto so_far = simulate(person, car, calibration, conditions);
      if (!so_far.ok()) return so_far.status();
      exit_speed = speed_at(*so_far, person.log.time_s.size());
    }
    regain(exit_speed, speed, drive.acceleration_mps2, onset - samples(kLiftsBefore), person);
    extend(person, onset, kCoasting);
    double hold_s = a.hold_s;
    if (hold_s == 0) {
      Person trial = person;
      apply(a, onset, kLongestStop, tremor, trial);
      const auto trace = simulate(trial, car, calibration, conditions);
      if (!trace.ok()) return trace.status();
      hold_s = time_to_standstill(*trace, onset) + kAfterStandstill - a.rise_s;
    }
    apply(a, onset, hold_s, tremor, person);
  }
  const size_t released = person.log.time_s.size();
  extend(person, released + samples(kAcceleratesAfter), kCoasting);
  const auto so_far = simulate(person, car, calibration, conditions);
  if (!so_far.ok()) return so_far.status();
  extend(person, released + samples(drive.tail_s), speed_at(*so_far, person.log.time_s.size()));
  return simulate(person, car, calibration, conditions);
}

}  // namespace brakeward::generator
