#include "gate/vehicle_sheet_car.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "math/constants.h"
#include "math/curve.h"

namespace brakeward::gate {
namespace {

constexpr int kHalvings = 80;

// Where `is_beyond` turns true between low and high.
template <class Test>
double bisect(double low, double high, const Test& is_beyond) {
  for (int i = 0; i < kHalvings; ++i) {
    const double middle = 0.5 * (low + high);
    (is_beyond(middle) ? high : low) = middle;
  }
  return 0.5 * (low + high);
}

double over(double force, double load) {
  return load > 0 ? force / load : std::numeric_limits<double>::infinity();
}

// Peak friction of the axle's tyres at this axle load.
double peak_friction(const plant::TyreParams<double>& t, double axle_load) {
  return t.d1 + t.d2 * (0.5 * axle_load / t.nominal_load - 1);
}

signal::Axle first_of(const PerAxle& used) {
  return used.front() >= used.rear() ? signal::kFront : signal::kRear;
}

}  // namespace

PerAxle pressures(const Distribution& d, double speed, double mean) {
  if (d.params == nullptr || !d.structure.has_balance()) return {{mean, mean}};
  const double share = d.params->front_share +
                       math::value(d.params->speed_trim, d.structure.speed_trim_segments, speed) +
                       math::value(d.params->demand_trim, d.structure.demand_trim_segments, mean);
  const double front = 2 * std::clamp(share, 0.0, 1.0) * mean;
  return {{front, 2 * mean - front}};
}

PerAxle axle_loads(const SheetCar& car, double deceleration, double speed) {
  const auto& p = car.params;
  const double square = speed * speed;
  const double transfer =
      (p.cog_height * p.mass * deceleration - p.drag_height * p.drag * square) / p.wheelbase;
  const double weight = p.mass * math::kGravity;
  return {{std::max(0.0, weight * p.static_front + p.downforce[signal::kFront] * square + transfer),
           std::max(0.0, weight * (1 - p.static_front) + p.downforce[signal::kRear] * square - transfer)}};
}

double brake_force(const SheetCar& car, int axle, double pressure) {
  const auto& b = car.params.brake[axle];
  const double friction = math::value(b.pad, car.structure.pad_segments, car.params.start_disc[axle]);
  return 2 * b.torque_per_pascal * friction * std::max(0.0, pressure - b.opening_pressure) /
         car.params.tyre[axle].radius;
}

PerAxle coasting_forces(const SheetCar& car, double speed) {
  const auto& p = car.params;
  PerAxle power, out;
  for (int a = 0; a < signal::kAxles; ++a) {
    power.axle[a] = std::min(p.motor[a].coast * speed / p.tyre[a].radius, p.motor[a].power);
    out.axle[a] = 2 * p.driven_share[a] * p.engine_braking / p.tyre[a].radius;
  }
  const double sum = power.front() + power.rear();
  if (!(sum > 0)) return out;
  const double taken =
      math::value(p.battery.regeneration_limit, car.structure.regeneration_segments, p.battery.start_charge);
  for (int a = 0; a < signal::kAxles; ++a) out.axle[a] += std::min(1.0, taken / sum) * power.axle[a] / speed;
  return out;
}

PerAxle contact_forces(const SheetCar& car, const PerAxle& pressure, double deceleration, double speed,
                       Effects effects) {
  const auto& p = car.params;
  const PerAxle load = axle_loads(car, deceleration, speed), coasting = coasting_forces(car, speed);
  PerAxle out;
  for (int a = 0; a < signal::kAxles; ++a) {
    out.axle[a] = brake_force(car, a, pressure.axle[a]);
    if (effects == Effects::kBrakesAlone) continue;
    const auto& t = p.tyre[a];
    out.axle[a] +=
        t.rolling * load.axle[a] + coasting.axle[a] - 2 * t.inertia * deceleration / (t.radius * t.radius);
  }
  return out;
}

double mean_pressure(const SheetCar& car, const Distribution& d, double deceleration, double speed,
                     Effects effects) {
  const double drag = effects == Effects::kReplayed ? car.params.drag * speed * speed : 0;
  return bisect(0, kNoPressure, [&](double mean) {
    const PerAxle f = contact_forces(car, pressures(d, speed, mean), deceleration, speed, effects);
    return f.front() + f.rear() + drag > car.params.mass * deceleration;
  });
}

PerAxle grip_used(const SheetCar& car, const Distribution& d, double deceleration, double speed,
                  Effects effects) {
  const double mean = mean_pressure(car, d, deceleration, speed, effects);
  const PerAxle force = contact_forces(car, pressures(d, speed, mean), deceleration, speed, effects);
  PerAxle out = axle_loads(car, deceleration, speed);
  for (int a = 0; a < signal::kAxles; ++a) {
    const double load = out.axle[a];
    const double grip = effects == Effects::kReplayed ? peak_friction(car.params.tyre[a], load) : 1;
    out.axle[a] = over(force.axle[a], grip * load);
  }
  return out;
}

LockOrder lock_order(const SheetCar& car, const Distribution& d, double speed, Effects effects) {
  constexpr double kStep = 0.02;
  const auto used = [&](double g) { return grip_used(car, d, g * math::kGravity, speed, effects); };
  double g = kStep;
  while (g < kLargest_g && mean_pressure(car, d, g * math::kGravity, speed, effects) < 1) g += kStep;
  LockOrder out;
  signal::Axle first = out.first = first_of(used(g));
  for (; g < kLargest_g; g += kStep) {
    const signal::Axle next = first_of(used(g + kStep));
    if (next == first) continue;
    const double at = bisect(g, g + kStep, [&](double x) { return first_of(used(x)) == next; });
    out.changes.push_back({at, used(at).front()});
    first = next;
  }
  return out;
}

double first_lock(const SheetCar& car, const Distribution& d, double speed, signal::Axle* axle) {
  const auto used = [&](double g) {
    return grip_used(car, d, g * math::kGravity, speed, Effects::kReplayed);
  };
  const double g = bisect(0, kLargest_g, [&](double x) {
    const PerAxle u = used(x);
    return std::max(u.front(), u.rear()) > 1;
  });
  *axle = first_of(used(g));
  return g;
}

double caliper_volume(const plant::BrakeParams<double>& b, double pressure) {
  if (pressure <= 0) return 0;
  const double rest = std::sqrt(b.clearance * b.clearance + b.knee * b.knee) - b.clearance;
  const double s = 2 * pressure / b.stiffness + rest;
  return b.clearance + 0.5 * (s - b.knee * b.knee / s);
}

double caliper_pressure(const plant::BrakeParams<double>& b, double volume) {
  const double rest = std::sqrt(b.clearance * b.clearance + b.knee * b.knee) - b.clearance;
  const double u = volume - b.clearance;
  return std::max(0.0, 0.5 * b.stiffness * (u + std::sqrt(u * u + b.knee * b.knee) - rest));
}

double displaced(const plant::PlantStructure& st, const PerAxle& volume, int circuit) {
  const double both = volume.front() + volume.rear();
  if (st.shared_actuator) return both;
  return st.diagonal ? 0.5 * both : volume.axle[circuit];
}

double circuit_volume(const SheetCar& car, int circuit, double pressure) {
  double out = 0;
  for (int i = 0; i < 2; ++i) {
    const int w = signal::wheel_of(car.structure.diagonal, circuit, i);
    out += caliper_volume(car.params.brake[signal::axle_of(w)], pressure);
  }
  return out;
}

double circuit_force(const SheetCar& car, int circuit, double pressure) {
  double out = 0;
  for (int i = 0; i < 2; ++i)
    out += 0.5 *
           brake_force(car, signal::axle_of(signal::wheel_of(car.structure.diagonal, circuit, i)), pressure);
  return out;
}

double pressure_at_volume(const SheetCar& car, int circuit, double volume, double limit) {
  return bisect(0, limit, [&](double p) { return circuit_volume(car, circuit, p) > volume; });
}

double pressure_limit(const SheetCar& car, int axle) {
  const auto& act = car.params.actuator[axle];
  if (!car.structure.shared_actuator)
    return pressure_at_volume(car, axle, act.volume_limit, act.stall_pressure);
  return bisect(0, act.stall_pressure, [&](double p) {
    return circuit_volume(car, signal::kFront, p) + circuit_volume(car, signal::kRear, p) > act.volume_limit;
  });
}

double grade_held(const SheetCar& car, const bool (&braked)[signal::kAxles], double road_friction,
                  bool uphill) {
  const auto& p = car.params;
  return bisect(0, kSteepest, [&](double grade) {
    const double across = 1 / std::sqrt(1 + grade * grade), along = grade * across;
    const double weight = p.mass * math::kGravity;
    const double to_rear = (uphill ? 1 : -1) * weight * along * p.cog_height / p.wheelbase;
    const double load[] = {std::max(0.0, weight * across * p.static_front - to_rear),
                           std::max(0.0, weight * across * (1 - p.static_front) + to_rear)};
    double held = 0;
    for (int a = 0; a < signal::kAxles; ++a)
      if (braked[a])
        held += std::min(brake_force(car, a, pressure_limit(car, a)),
                         road_friction * peak_friction(p.tyre[a], load[a]) * load[a]);
    return held < weight * along;
  });
}

}  // namespace brakeward::gate
