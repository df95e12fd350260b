// The road under the car. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/params.h"
#include "model/plant/structure.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct Road {
  Real friction[signal::kWheels];
  Real along, across;  // sine and cosine of the grade
  Real tilt, flat;     // sine and cosine of the banking, to the right
  Real dip;            // 1/m, vertical curvature
  Real path;           // 1/m, curvature of the path to the left
};

template <class Real>
BRAKEWARD_INLINE void bend_at(const PlantParams<Real>& car, const PlantStructure& st, Real distance,
                              Road<Real>& r) {
  const Real bank = evaluate(car.road.banking, st.banking_segments, distance);
  r.flat = 1.0 / sqrt(fma(bank, bank, Real(1.0)));
  r.tilt = bank * r.flat;
  r.path = evaluate(car.road.path_curvature, st.path_segments, distance);
}

// With a stride of two the sides of the road are alike.
template <int kStride = 1, class Real>
BRAKEWARD_INLINE Road<Real> road_at(const PlantParams<Real>& car, const PlantStructure& st, Real distance) {
  Road<Real> r;
  const Real rear = distance - car.wheelbase;
  for (int side = 0; side < 2; side += kStride) {
    r.friction[side] = evaluate(car.road.friction[side], st.friction_segments, distance);
    r.friction[2 + side] = evaluate(car.road.friction[side], st.friction_segments, rear);
  }
  if (kStride == 2) {
    r.friction[1] = r.friction[0];
    r.friction[3] = r.friction[2];
  }
  const Real grade = evaluate(car.road.grade, st.grade_segments, distance);
  r.across = 1.0 / sqrt(fma(grade, grade, Real(1.0)));
  r.along = grade * r.across;
  r.dip = evaluate(car.road.vertical_curvature, st.vertical_segments, distance);
  if (st.lateral) bend_at(car, st, distance, r);
  return r;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
