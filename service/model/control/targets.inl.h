// What circuits and wheels are told, in any layout of the hydraulics. Kernel: included by engine translation
// units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/control/structure.h"
#include "signal/ports.h"

namespace brakeward::control {
inline namespace BRAKEWARD_ISA {

using namespace math;

template <class Real>
struct Targets {
  Real circuit[signal::kAxles];  // Pa
  Real factor[signal::kAxles];   // 1, share of the demand the slip limiter leaves the circuit
  Real wheel[signal::kWheels];   // Pa
  Real axle[signal::kAxles];     // Pa, at the wheel of the axle that gets more
};

// With valves per wheel a circuit gets what its most demanding wheel needs; without, what its most slipping
// wheel leaves: of its axle's pressure where it feeds one axle, else of the mean pressure asked for.
// `wheel`: Pa that each should get; `factor`: what the slip limiter leaves it.
template <class Real>
inline Targets<Real> targets_of(const ControlStructure& st, const Real (&wheel)[signal::kWheels], Real demand,
                                const Real (&factor)[signal::kWheels]) {
  Targets<Real> out;
  for (int w = 0; w < signal::kWheels; ++w) out.wheel[w] = wheel[w];
  if (st.is_plain()) {
    for (int a = 0; a < signal::kAxles; ++a) {
      out.circuit[a] = out.axle[a] = out.wheel[2 * a];
      out.factor[a] = factor[2 * a];
    }
    return out;
  }
  for (int c = 0; c < signal::kAxles; ++c) {
    const int l = signal::wheel_of(st.diagonal, c, 0), r = signal::wheel_of(st.diagonal, c, 1);
    out.factor[c] = st.wheel_valves ? max(factor[l], factor[r]) : min(factor[l], factor[r]);
    out.circuit[c] = max(out.wheel[l], out.wheel[r]);
  }
  if (st.shared_actuator) {
    out.factor[0] = st.wheel_valves ? max(out.factor[0], out.factor[1]) : min(out.factor[0], out.factor[1]);
    out.factor[1] = out.factor[0];
    out.circuit[0] = out.circuit[1] = max(out.circuit[0], out.circuit[1]);
  }
  if (!st.wheel_valves)
    for (int c = 0; c < signal::kAxles; ++c) out.circuit[c] = out.factor[c] * demand;
  for (int a = 0; a < signal::kAxles; ++a)
    out.axle[a] =
        st.wheel_valves ? max(out.wheel[2 * a], out.wheel[2 * a + 1]) : max(out.circuit[0], out.circuit[1]);
  return out;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::control
