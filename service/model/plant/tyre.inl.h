// Longitudinal tyre force. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/constants.inl.h"
#include "model/plant/params.h"

namespace brakeward::plant {
inline namespace BRAKEWARD_ISA {

using namespace math;

// Force at the present slip and the secant stiffness that the implicit wheel step uses.
template <class Real>
struct TyreForces {
  Real force[signal::kWheels];      // N, sign of the slip
  Real stiffness[signal::kWheels];  // N per unit slip: force / slip, slip stiffness at zero slip
  Real adhesion[signal::kWheels];   // 1, stiffness over slip stiffness: 1 while adhering, kLeastAdhesion at
                                    // least
};

// The relaxation length never falls below this share of its value while adhering; common practice, no source.
inline constexpr double kLeastAdhesion = 0.1;

// Magic Formula (Pacejka 2006, 4.3.2): F = D sin(C atan(Bk - E (Bk - atan Bk))), D = mu F_z (d1 + d2 df),
// K = B C D = F_z (k1 + k2 df) exp(k3 df), df = (F_z - F_z0) / F_z0. `friction` scales D and leaves K.
// `load` is that of each wheel of an axle.
// Written stage by stage over the wheels: the loop is bound by latency as well as by divisions.
template <class Real>
BRAKEWARD_INLINE TyreForces<Real> tyre_forces(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                              const Real (&slip)[signal::kWheels],
                                              const Real (&load)[signal::kAxles],
                                              const Real (&friction)[signal::kWheels]) {
  constexpr int n = signal::kWheels;
  Real steepness[signal::kAxles], grip[signal::kAxles], curvature[signal::kAxles];
  for (int a = 0; a < signal::kAxles; ++a) {
    const TyreParams<Real>& t = car.tyre[a];
    const Real df = fma(load[a], k.axle[a].per_nominal_load, Real(-1.0));
    steepness[a] = load[a] * fma(t.k2, df, t.k1) * exp(t.k3 * df);
    grip[a] = load[a] * fma(t.d2, df, t.d1);
    curvature[a] = min(Real(1.0), fma(fma(t.e3, df, t.e2), df, t.e1));
  }
  Real peak[n], x[n], inner[n], outer[n];
  TyreForces<Real> out;
  for (int w = 0; w < n; ++w) {
    const int a = signal::axle_of(w);
    peak[w] = max(Real(1e-3), friction[w] * grip[a]);
    x[w] = steepness[a] * slip[w] / (car.tyre[a].c * peak[w]);
  }
  for (int w = 0; w < n; ++w) inner[w] = atan(x[w]);
  for (int w = 0; w < n; ++w) outer[w] = atan(fma(curvature[signal::axle_of(w)], inner[w] - x[w], x[w]));
  for (int w = 0; w < n; ++w) out.force[w] = peak[w] * sin(car.tyre[signal::axle_of(w)].c * outer[w]);
  for (int w = 0; w < n; ++w) {
    const auto tiny = abs(slip[w]) < Real(1e-9);
    out.stiffness[w] =
        select(tiny, steepness[signal::axle_of(w)], out.force[w] / select(tiny, Real(1.0), slip[w]));
  }
  for (int a = 0; a < signal::kAxles; ++a) {
    const Real per_steepness = 1.0 / max(Real(1.0), steepness[a]);
    for (int w = 2 * a; w < 2 * a + 2; ++w)
      out.adhesion[w] = clamp(out.stiffness[w] * per_steepness, Real(kLeastAdhesion), Real(1.0));
  }
  return out;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
