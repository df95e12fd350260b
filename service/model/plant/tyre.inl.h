// Longitudinal tyre force. Kernel: included by engine translation units only.
#pragma once

#include "math/kernel.inl.h"
#include "model/plant/constants.inl.h"
#include "model/plant/loads.inl.h"
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
  Real grip[signal::kWheels];  // N, greatest force in any direction (longitudinal half axis of the ellipse)
  Mask<Real> beyond[signal::kWheels];  // braking beyond the slip of the greatest force
};

// The relaxation length never falls below this share of its value while adhering; common practice, no source.
inline constexpr double kLeastAdhesion = 0.1;

// A bend takes at most this share of a tyre's lateral grip: a car asked for more slides outwards and still
// brakes a little. Common practice, no source.
inline constexpr double kMostLateral = 0.98;

inline constexpr double kQuarterTurn =
    1.5707963267948966;  // where the sine of the Magic Formula has its peak

// Friction ellipse (F_x / D)^2 + (F_y / (r D))^2 <= 1: the share of D left lengthways by the lateral force
// asked.
template <class Real>
BRAKEWARD_INLINE Real left_lengthways(Real lateral, Real ratio, Real grip) {
  const Real used = min(Real(kMostLateral), abs(lateral) / (ratio * grip));
  return sqrt(fma(-used, used, Real(1.0)));
}

// What a load makes of a tyre. `steepness` is the slip stiffness K, and `per_steepness` its reciprocal,
// bounded.
template <class Real>
struct TyreShape {
  Real steepness, per_steepness, grip, curvature;
};

template <class Real>
BRAKEWARD_INLINE TyreShape<Real> shape_of(const TyreParams<Real>& t, Real per_nominal_load, Real load) {
  const Real df = fma(load, per_nominal_load, Real(-1.0));
  const Real steepness = load * fma(t.k2, df, t.k1) * exp(t.k3 * df);
  return {steepness, 1.0 / max(Real(1.0), steepness), load * fma(t.d2, df, t.d1),
          min(Real(1.0), fma(fma(t.e3, df, t.e2), df, t.e1))};
}

// Secant stiffness and adhesion from the force. With a stride of two only of the left wheels, here and below.
template <int kStride, class Real>
BRAKEWARD_INLINE void secants(const Real (&slip)[signal::kWheels], const Real (&steepness)[signal::kWheels],
                              const Real (&per_steepness)[signal::kWheels], TyreForces<Real>& out) {
  for (int w = 0; w < signal::kWheels; w += kStride) {
    const auto tiny = abs(slip[w]) < Real(1e-9);
    out.stiffness[w] = select(tiny, steepness[w], out.force[w] / select(tiny, Real(1.0), slip[w]));
  }
  for (int w = 0; w < signal::kWheels; w += kStride)
    out.adhesion[w] = clamp(out.stiffness[w] * per_steepness[w], Real(kLeastAdhesion), Real(1.0));
}

// Exponential curve of a named surface, for any tyre.
template <int kStride, class Real>
BRAKEWARD_INLINE TyreForces<Real> surface_forces(const PlantParams<Real>& car, const PlantStructure& st,
                                                 const Real (&slip)[signal::kWheels],
                                                 const WheelLoads<Real>& loads,
                                                 const Real (&friction)[signal::kWheels]) {
  const SurfaceParams<Real>& s = car.road.surface;
  TyreForces<Real> out;
  Real pressed[signal::kWheels], steepness[signal::kWheels], per_steepness[signal::kWheels];
  for (int w = 0; w < signal::kWheels; w += kStride) {
    pressed[w] = max(Real(1e-3), friction[w] * loads.load[w]);
    out.grip[w] = pressed[w] * s.peak;
    if (st.lateral)
      pressed[w] = pressed[w] *
                   left_lengthways(loads.lateral[w], car.tyre[signal::axle_of(w)].lateral_ratio, out.grip[w]);
    steepness[w] = pressed[w] * fma(s.c1, s.c2, -s.c3);
    per_steepness[w] = 1.0 / max(Real(1.0), steepness[w]);
  }
  for (int w = 0; w < signal::kWheels; w += kStride) {
    const Real size = abs(slip[w]);
    const Real faded = exp(-s.c2 * size);
    const Real mu = fma(-s.c3, size, fma(-s.c1, faded, s.c1));
    out.force[w] = copy_sign(pressed[w] * mu, slip[w]);
    out.beyond[w] = (slip[w] < Real(0.0)) & (s.c1 * s.c2 * faded < s.c3);
  }
  secants<kStride>(slip, steepness, per_steepness, out);
  return out;
}

// Magic Formula (Pacejka 2006, 4.3.2): F = D sin(C atan(Bk - E (Bk - atan Bk))), D = mu F_z (d1 + d2 df),
// K = B C D = F_z (k1 + k2 df) exp(k3 df), df = (F_z - F_z0) / F_z0. `friction` scales D and leaves K, and so
// does what a bend takes of it. Without bends and bumps both wheels of an axle carry the same and share their
// shape. Written stage by stage over the wheels: the loop is bound by latency as well as by divisions.
template <int kStride = 1, class Real>
BRAKEWARD_INLINE TyreForces<Real> tyre_forces(const PlantParams<Real>& car, const PlantConstants<Real>& k,
                                              const PlantStructure& st, const Real (&slip)[signal::kWheels],
                                              const WheelLoads<Real>& loads,
                                              const Real (&friction)[signal::kWheels]) {
  if (st.exponential) return surface_forces<kStride>(car, st, slip, loads, friction);
  constexpr int n = signal::kWheels;
  TyreShape<Real> shape[n];
  for (int w = 0; w < n; w += kStride) {
    const int a = signal::axle_of(w);
    shape[w] = kStride == 2 || w % 2 == 0 || st.lateral || st.bumps
                   ? shape_of(car.tyre[a], k.axle[a].per_nominal_load, loads.load[w])
                   : shape[w - 1];
  }
  Real peak[n], steepness[n], per_steepness[n], x[n], inner[n], outer[n];
  TyreForces<Real> out;
  for (int w = 0; w < n; w += kStride) {
    const TyreParams<Real>& t = car.tyre[signal::axle_of(w)];
    steepness[w] = shape[w].steepness;
    per_steepness[w] = shape[w].per_steepness;
    peak[w] = max(Real(1e-3), friction[w] * shape[w].grip);
    out.grip[w] = peak[w];
    if (st.lateral) peak[w] = peak[w] * left_lengthways(loads.lateral[w], t.lateral_ratio, peak[w]);
    x[w] = steepness[w] * slip[w] / (t.c * peak[w]);
  }
  for (int w = 0; w < n; w += kStride) inner[w] = atan(x[w]);
  for (int w = 0; w < n; w += kStride) outer[w] = atan(fma(shape[w].curvature, inner[w] - x[w], x[w]));
  for (int w = 0; w < n; w += kStride) {
    const Real turned = car.tyre[signal::axle_of(w)].c * outer[w];
    out.force[w] = peak[w] * sin(turned);
    out.beyond[w] = turned < Real(-kQuarterTurn);
  }
  secants<kStride>(slip, steepness, per_steepness, out);
  return out;
}

// What the car is left with in a bend: lateral force its tyres cannot give besides the longitudinal one, and
// the moment about the centre of gravity of that and of unequal braking, positive to the left.
template <class Real>
struct Unmet {
  Real force, moment;
};

template <class Real>
BRAKEWARD_INLINE Unmet<Real> unmet_by(const PlantParams<Real>& car, const PlantStructure& st,
                                      const WheelLoads<Real>& loads, const TyreForces<Real>& tyre,
                                      const Real (&contact)[signal::kWheels]) {
  Unmet<Real> out{Real(0.0), Real(0.0)};
  if (!st.lateral && st.sides_alike) return out;
  const Real arm[signal::kAxles] = {car.wheelbase * (1.0 - car.static_front),
                                    -car.wheelbase * car.static_front};
  for (int a = 0; a < signal::kAxles; ++a) {
    Real missing = Real(0.0);
    for (int w = 2 * a; st.lateral && w < 2 * a + 2; ++w) {
      const Real left = max(Real(0.0), fma(tyre.grip[w], tyre.grip[w], -contact[w] * contact[w]));
      const Real size = max(Real(0.0), fma(-car.tyre[a].lateral_ratio, sqrt(left), abs(loads.lateral[w])));
      missing = missing + copy_sign(size, loads.lateral[w]);
    }
    out.force = out.force + missing;
    const Real pulled = 0.5 * car.track[a] * (contact[2 * a + 1] - contact[2 * a]);
    out.moment = out.moment + fma(-arm[a], missing, pulled);
  }
  return out;
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::plant
