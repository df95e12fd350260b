// The car's differential equations written a second time, from the equations in the kernels' comments and
// with the standard library's maths, for an integrator with error control. One ordinary right-hand side: no
// implicit solution, no stages, no secant. Valid while the wheels turn forwards.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>

#include "model/plant/params.h"

namespace brakeward::reference {

class IndependentCar {
 public:
  using Chain = plant::HeatChain<>;
  // v, x, transfer, its rate, 4 wheel speeds, 4 slips, 2 actuators, 2 caliper volumes, 4 chains of heat
  using State = std::array<double, 16 + 4 * Chain::kNodes>;
  enum Index {
    kSpeed,
    kDistance,
    kTransfer,
    kTransferRate,
    kWheel,
    kSlip = 8,
    kActuator = 12,
    kVolume = 14,
    kHeat = 16,
    kDisc = kHeat + Chain::kFace  // of the first wheel
  };

  IndependentCar(const plant::PlantParams<double>& car, bool pressure_entry, double front, double rear)
      : car_(car), pressure_entry_(pressure_entry), given_{front, rear} {}

  State start() const {
    State y{};
    y[kSpeed] = car_.start_speed;
    for (int w = 0; w < 4; ++w) {
      y[kWheel + w] = car_.start_speed / car_.tyre[w / 2].radius;
      for (int i = 0; i < Chain::kNodes; ++i)
        y[heat_of(w) + i] = i >= 1 && i <= Chain::kPad ? car_.start_disc[w / 2] : car_.ambient;
    }
    return y;
  }

  double caliper_pressure(int axle, double volume) const {
    const auto& b = car_.brake[axle];
    const auto raw = [&](double v) {
      const double u = v - b.clearance;
      return 0.5 * b.stiffness * (u + std::sqrt(u * u + b.knee * b.knee));
    };
    return std::max(0.0, raw(volume) - raw(0));
  }

  double slip_stiffness(int axle, double load) const {
    const auto& t = car_.tyre[axle];
    const double df = (load - t.nominal_load) / t.nominal_load;
    return load * (t.k1 + t.k2 * df) * std::exp(t.k3 * df);
  }

  double tyre_force(int axle, double slip, double load, double friction) const {
    const auto& t = car_.tyre[axle];
    const double df = (load - t.nominal_load) / t.nominal_load;
    const double peak = friction * load * (t.d1 + t.d2 * df);
    const double e = std::min(1.0, t.e1 + t.e2 * df + t.e3 * df * df);
    const double x = slip_stiffness(axle, load) / (t.c * peak) * slip;
    return peak * std::sin(t.c * std::atan(x - e * (x - std::atan(x))));
  }

  void operator()(const State& y, State& d, double) const {
    const double g = 9.80665, v = y[kSpeed];
    const double slope_angle = std::atan(along(car_.road.grade, y[kDistance]));
    const double drag = car_.drag * v * v;
    double pull = 0;
    for (int a = 0; a < 2; ++a) {
      const double share = a == 0 ? car_.static_front : 1 - car_.static_front;
      const double axle = car_.mass * g * std::cos(slope_angle) * share + car_.downforce[a] * v * v +
                          (a == 0 ? 1 : -1) * y[kTransfer];
      const double load = std::max(0.0, 0.5 * axle);
      const double pressure = pressure_entry_ ? given_[a] : caliper_pressure(a, y[kVolume + a]);
      for (int w = 2 * a; w < 2 * a + 2; ++w) pull += wheel(a, w, load, pressure, y, d);
      hydraulics(a, y, d);
    }
    d[kSpeed] = (pull - drag) / car_.mass - g * std::sin(slope_angle);
    d[kDistance] = v;
    const double settled =
        ((car_.cog_height - car_.drag_height) * drag - car_.cog_height * pull) / car_.wheelbase;
    d[kTransfer] = y[kTransferRate];
    d[kTransferRate] = car_.pitch_rate * car_.pitch_rate * (settled - y[kTransfer]) -
                       2 * car_.pitch_damping * car_.pitch_rate * y[kTransferRate];
  }

 private:
  static size_t heat_of(int wheel) {
    return static_cast<size_t>(kHeat) + static_cast<size_t>(wheel) * Chain::kNodes;
  }

  static double along(const math::Curve<double>& c, double x) {
    double y = c.y0;
    for (int i = 0; i < math::kMaxCurveSegments && c.width[i] > 0; ++i)
      y += c.slope[i] * std::min(std::max(x - c.x[i], 0.0), c.width[i]);
    return y;
  }

  double wheel(int a, int w, double load, double pressure, const State& y, State& d) const {
    const auto& t = car_.tyre[a];
    const auto& b = car_.brake[a];
    const double v = y[kSpeed], omega = y[kWheel + w], slip = y[kSlip + w];
    const double disc = y[heat_of(w) + Chain::kFace];
    const double at = w < 2 ? y[kDistance] : y[kDistance] - car_.wheelbase;
    const double friction = along(car_.road.friction[w % 2], at);
    double force = tyre_force(a, slip, load, friction);
    const double steepness = slip_stiffness(a, load);
    const double secant = std::fabs(slip) > 1e-9 ? force / slip : steepness;
    const double relaxation = t.relaxation * std::clamp(secant / steepness, 0.1, 1.0);
    if (v < 2)
      force += secant * t.low_speed_damping / (t.k1 * t.nominal_load) * (1 - v / 2) * (omega * t.radius - v);
    const double torque =
        along(b.pad, disc) * b.torque_per_pascal * std::max(0.0, pressure - b.opening_pressure);
    const double engine = car_.engine_braking * std::min(1.0, v / car_.engine_braking_fade);
    const double drive = -car_.driven_share[a] * engine;
    d[kWheel + w] = (drive - torque - t.radius * force - t.rolling * load * t.radius) / t.inertia;
    d[kSlip + w] = (omega * t.radius - v - v * slip) / relaxation;
    heat(b.heat, v, torque * omega, &y[heat_of(w)], &d[heat_of(w)]);
    return force;
  }

  // What each node gives to the next, to the air and, from the face, to what it sees.
  void heat(const plant::HeatParams<double>& p, double v, double friction, const double* t, double* d) const {
    double gain[Chain::kNodes] = {};
    for (int i = 0; i + 1 < Chain::kNodes; ++i) {
      const double flow = p.link[i] * (t[i] - t[i + 1]);
      gain[i] -= flow;
      gain[i + 1] += flow;
    }
    const double film = p.convection_at_rest + p.convection_per_mps * v;
    gain[0] -= film * p.hub_area * (t[0] - car_.ambient);
    gain[1] -= film * p.back_area * (t[1] - car_.ambient);
    gain[Chain::kFace] -= film * p.face_area * (t[Chain::kFace] - car_.ambient) +
                          5.670374419e-8 * p.radiating *
                              (std::pow(t[Chain::kFace] + 273.15, 4) - std::pow(car_.ambient + 273.15, 4));
    gain[Chain::kCaliper] -= film * p.caliper_area * (t[Chain::kCaliper] - car_.ambient);
    gain[Chain::kFace] += p.disc_share * friction;
    gain[Chain::kPad] += (1 - p.disc_share) * friction;
    for (int i = 0; i < Chain::kNodes; ++i) d[i] = gain[i] / p.capacity[i];
  }

  // Where the motor's falling line meets what both orifices need, by halving the interval.
  static double delivery(const plant::ActuatorParams<double>& act, const plant::BrakeParams<double>& b,
                         double pressure) {
    double low = 0, high = act.flow_limit;
    for (int i = 0; i < 60; ++i) {
      const double flow = 0.5 * (low + high);
      const double behind = pressure + std::pow(0.5 * flow / b.flow_gain, 2);
      (flow < act.flow_limit * (1 - behind / act.stall_pressure) ? low : high) = flow;
    }
    return low;
  }

  void hydraulics(int a, const State& y, State& d) const {
    const auto& b = car_.brake[a];
    const auto& act = car_.actuator[a];
    d[kActuator + a] =
        pressure_entry_ ? 0 : (std::min(given_[a], act.stall_pressure) - y[kActuator + a]) / act.lag;
    const double drop = y[kActuator + a] - caliper_pressure(a, y[kVolume + a]);
    const double line = b.flow_gain * drop / std::sqrt(std::fabs(drop) + b.laminar_pressure);
    const double most = delivery(act, b, caliper_pressure(a, y[kVolume + a]));
    d[kVolume + a] = pressure_entry_ ? 0 : std::min(line, 0.5 * most);
  }

  plant::PlantParams<double> car_;
  bool pressure_entry_;
  double given_[2];
};

}  // namespace brakeward::reference
