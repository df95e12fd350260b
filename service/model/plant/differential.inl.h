// Limited slip between the wheels of an axle. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/params.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

// Greatest difference between the wheels' torques from the drive: preload plus a share of their sum,
// whichever way it acts (common form of a plate differential's data, preload and locking value; no source).
template <class Real>
BRAKEWARD_INLINE Real locking_torque(const DifferentialParams<Real>& p, Real drive_at_each_wheel) {
  return fma(p.ratio, abs(2.0 * drive_at_each_wheel), p.preload);
}

// Moves momentum between two wheels, each of which is to reach the speed
// sign(momentum) max(0, |momentum| - dry) / inertia: as much as brings both to one speed, and at most half
// the `difference`, so that the slower wheel gets more. Dry friction: as one body the two reach sign(M)
// max(0, |M| - D) / J with the sums of all three; where that is rest, the least that lets both rest.
template <class Real>
BRAKEWARD_INLINE void hold_together(Real difference, const Real* inertia, const Real* dry, Real* momentum) {
  const Real sum = momentum[0] + momentum[1], held = dry[0] + dry[1];
  const auto moves = abs(sum) > held;
  const Real speed = copy_sign(max(Real(0.0), abs(sum) - held), sum) / (inertia[0] + inertia[1]);
  const Real left = fma(inertia[0], speed, copy_sign(dry[0], sum)) - momentum[0];
  const Real right = fma(inertia[1], speed, copy_sign(dry[1], sum)) - momentum[1];
  const Real at_rest = clamp(Real(0.0), max(-dry[0] - momentum[0], momentum[1] - dry[1]),
                             min(dry[0] - momentum[0], momentum[1] + dry[1]));
  const Real most = 0.5 * difference;
  const Real moved = clamp(select(moves, 0.5 * (left - right), at_rest), -most, most);
  momentum[0] = momentum[0] + moved;
  momentum[1] = momentum[1] - moved;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
