// Longitudinal tyre force. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/params.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

// Force at the present slip and the secant stiffness that the implicit wheel step uses.
template <class Real>
struct TyreForces {
  Real force[signal::kWheels];      // N, sign of the slip
  Real stiffness[signal::kWheels];  // N per unit slip: force / slip, slip stiffness at zero slip
};

// Magic Formula (Pacejka 2006, 4.3.2): F = D sin(C atan(Bk - E (Bk - atan Bk))), D = mu F_z (d1 + d2 df),
// K = B C D = F_z (k1 + k2 df) exp(k3 df), df = (F_z - F_z0) / F_z0. `friction` scales D and leaves K.
// Written stage by stage over the wheels: the loop is bound by latency, not by throughput.
template <class Real>
inline TyreForces<Real> tyre_forces(const PlantParams<Real>& car, const Real (&slip)[signal::kWheels],
                                    const Real (&load)[signal::kWheels],
                                    const Real (&friction)[signal::kWheels]) {
  constexpr int n = signal::kWheels;
  Real peak[n], steepness[n], curvature[n], x[n], inner[n], outer[n], df[n];
  TyreForces<Real> out;
  for (int w = 0; w < n; ++w) df[w] = load[w] / car.tyre[signal::axle_of(w)].nominal_load - 1.0;
  for (int w = 0; w < n; ++w) steepness[w] = exp(car.tyre[signal::axle_of(w)].k3 * df[w]);
  for (int w = 0; w < n; ++w) {
    const TyreParams<Real>& t = car.tyre[signal::axle_of(w)];
    peak[w] = max(Real(1e-3), friction[w] * load[w] * fma(t.d2, df[w], t.d1));
    steepness[w] = steepness[w] * load[w] * fma(t.k2, df[w], t.k1);
    curvature[w] = min(Real(1.0), fma(fma(t.e3, df[w], t.e2), df[w], t.e1));
    x[w] = steepness[w] / (t.c * peak[w]) * slip[w];
  }
  for (int w = 0; w < n; ++w) inner[w] = atan(x[w]);
  for (int w = 0; w < n; ++w) outer[w] = atan(x[w] - curvature[w] * (x[w] - inner[w]));
  for (int w = 0; w < n; ++w) out.force[w] = peak[w] * sin(car.tyre[signal::axle_of(w)].c * outer[w]);
  for (int w = 0; w < n; ++w) {
    const auto tiny = abs(slip[w]) < Real(1e-9);
    out.stiffness[w] = select(tiny, steepness[w], out.force[w] / select(tiny, Real(1.0), slip[w]));
  }
  return out;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
