// Wheels on their springs, over a road with heights. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/constants.inl.h"
#include "model/plant/loads.inl.h"
#include "model/plant/structure.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

// Of one wheel and the body above it, from where the wheel's load at the moment holds both.
template <class Real>
struct BumpState {
  Real body, wheel;              // m, upwards
  Real body_speed, wheel_speed;  // m/s
};

template <class Real>
BRAKEWARD_INLINE Real height_at(const PlantParams<Real>& car, int segments, int wheel, Real distance) {
  const Real at = signal::axle_of(wheel) == signal::kFront ? distance : distance - car.wheelbase;
  return evaluate(car.road.bump[wheel % 2], segments, at);
}

// Everything at rest on the height the profile begins with.
template <class Real>
inline void start_bumps(const PlantParams<Real>& car, BumpState<Real> (&s)[signal::kWheels]) {
  for (int w = 0; w < signal::kWheels; ++w) {
    s[w].body = s[w].wheel = car.road.bump[w % 2].y0;
    s[w].body_speed = s[w].wheel_speed = Real(0.0);
  }
}

// One wheel over a step, by the implicit midpoint rule:
//   m_b z_b'' = -F,   m_w z_w'' = F + P,   F = k_s (z_b - z_w) + c_s (z_b' - z_w'),   P = k_t (z_r - z_w),
// where the tyre only presses: `load` + P is not below zero. Gives P.
template <class Real>
BRAKEWARD_INLINE Real step_wheel_on_springs(const SuspensionParams<Real>& p, Real body_mass, Real load,
                                            Real height, Real h, BumpState<Real>& s) {
  const Real half = 0.5 * h;
  const Real link = half * fma(half, p.rate, p.damping), tyre = half * half * p.tyre_rate;
  const Real spring = half * p.rate * (s.body - s.wheel);
  const Real body = fma(body_mass, s.body_speed, -spring), heavy = body_mass + link;
  const Real wheel = fma(p.unsprung_mass, s.wheel_speed, spring), light = p.unsprung_mass + link;
  const Real pressed = fma(half * p.tyre_rate, height - s.wheel, wheel);
  const Real held = (heavy * pressed + link * body) / fma(heavy, light + tyre, -link * link);
  const Real pushed = p.tyre_rate * fma(-half, held, height - s.wheel);
  const auto flies = pushed < -load;
  const Real falling = (heavy * fma(-half, load, wheel) + link * body) / fma(heavy, light, -link * link);
  const Real wheel_mid = select(flies, falling, held);
  const Real body_mid = fma(link, wheel_mid, body) / heavy;
  s.wheel = fma(h, wheel_mid, s.wheel);
  s.body = fma(h, body_mid, s.body);
  s.wheel_speed = fma(Real(2.0), wheel_mid, -s.wheel_speed);
  s.body_speed = fma(Real(2.0), body_mid, -s.body_speed);
  return max(-load, pushed);
}

// Adds to the wheel loads what bumps make of them. Each wheel carries its own part of the body, as in the
// quarter-car model: the body's share of the static load at that wheel. Front and rear are independent of
// each other where the body's radius of gyration in pitch is the root of the product of the distances from
// the centre of gravity to the axles, left and right likewise (Gillespie, Fundamentals of Vehicle Dynamics,
// 1992, chapter 5, from memory); load transfer keeps its own lag. The tyre is a spring that touches in a
// point, without damping (there too): a profile shorter than the contact patch must be smoothed beforehand.
// What a slope pushes along the road is left out.
template <class Real>
BRAKEWARD_INLINE void step_bumps(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                 const PlantStructure& st, Real distance, Real h,
                                 BumpState<Real> (&s)[signal::kWheels], WheelLoads<Real>& loads) {
  for (int w = 0; w < signal::kWheels; ++w) {
    const int a = signal::axle_of(w);
    const Real height = height_at(car, st.bump_segments, w, distance);
    loads.load[w] = loads.load[w] + step_wheel_on_springs(car.suspension[a], k.axle[a].body_mass,
                                                          loads.load[w], height, h, s[w]);
  }
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
