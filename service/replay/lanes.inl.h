// Structs of scalars into the lanes of a batch and out of them, field by field. Kernel: included by engine
// translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "replay/engine.h"

namespace brakeward::replay {
inline namespace BRAKEWARD_ISA {

using namespace math;

// `fields_of` gives a lane's own doubles; lanes that are not used repeat the first.
template <class Real, template <class> class Struct, class FieldsOf>
inline void put_lanes(const BatchJob& job, const FieldsOf& fields_of, Struct<Real>& out) {
  Real* field = reinterpret_cast<Real*>(&out);
  for (unsigned i = 0; i < sizeof(Struct<double>) / sizeof(double); ++i)
    for (int k = 0; k < Traits<Real>::lanes; ++k)
      set(field[i], k, fields_of(job.lane[k < job.lanes ? k : 0])[i]);
}

template <class Real, template <class> class Struct>
inline void take_lane(const Struct<Real>& lanes, int k, double* out) {
  const Real* field = reinterpret_cast<const Real*>(&lanes);
  for (unsigned i = 0; i < sizeof(Struct<double>) / sizeof(double); ++i) out[i] = get(field[i], k);
}
template <class Real, template <class> class Struct>
inline void take_lane(const Struct<Real>& lanes, int k, Struct<double>& out) {
  take_lane(lanes, k, reinterpret_cast<double*>(&out));
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::replay
