// Wheel loads, and what a bend asks of the wheels. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/constants.inl.h"
#include "model/plant/road.inl.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct WheelLoads {
  Real load[signal::kWheels];     // N
  Real lateral[signal::kWheels];  // N asked of the wheel by the bend, positive to the left
};

// In a bend of curvature c to the left, on a road that falls to the right by the angle b: the tyres must give
// F_y = m (c v^2 cos b + g cos(grade) sin b) in the plane of the road, shared by the axles as the static load
// is (no yaw acceleration) and by the wheels of an axle in proportion to their load. It moves
// F_y h (roll share) / track on each axle from left to right, at most all the inner wheel has.
template <class Real>
BRAKEWARD_INLINE void bend_loads(const PlantParams<Real>& car, Real weight, Real square,
                                 const Road<Real>& road, WheelLoads<Real>& out) {
  const Real across = fma(car.mass * square, road.path * road.flat, weight * road.tilt);
  const Real share[signal::kAxles] = {car.static_front, 1.0 - car.static_front};
  for (int a = 0; a < signal::kAxles; ++a) {
    Real *load = out.load + 2 * a, *lateral = out.lateral + 2 * a;
    const Real half = load[0];
    const Real moved = clamp(across * car.cog_height * car.roll_share[a] / car.track[a], -half, half);
    load[0] = half - moved;
    load[1] = half + moved;
    const auto carried = half > Real(0.0);
    const Real per_load =
        select(carried, across * share[a] / select(carried, 2.0 * half, Real(1.0)), Real(0.0));
    for (int side = 0; side < 2; ++side) lateral[side] = per_load * load[side];
  }
}

// Static load on grade, banking and vertical curvature, longitudinal transfer, downforce; never below zero.
template <class Real>
BRAKEWARD_INLINE WheelLoads<Real> wheel_loads(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                              const PlantStructure& st, Real speed, Real transfer,
                                              const Road<Real>& road) {
  const Real square = speed * speed;
  const Real on_grade = k.weight * road.across;
  Real weight = fma(car.mass * square, road.dip, on_grade);
  if (st.lateral) weight = fma(-car.mass * square, road.path * road.tilt, weight * road.flat);
  const Real front = fma(weight, car.static_front, fma(square, car.downforce[signal::kFront], transfer));
  const Real rear = fma(weight, 1.0 - car.static_front, fma(square, car.downforce[signal::kRear], -transfer));
  WheelLoads<Real> out;
  out.load[0] = out.load[1] = max(Real(0.0), 0.5 * front);
  out.load[2] = out.load[3] = max(Real(0.0), 0.5 * rear);
  for (int w = 0; w < signal::kWheels; ++w) out.lateral[w] = Real(0.0);
  if (st.lateral) bend_loads(car, on_grade, square, road, out);
  return out;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
