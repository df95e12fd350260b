#include "compile/parts.h"
#include "compile/units.h"
#include "math/elementary.h"

namespace brakeward::compile {
namespace {

constexpr double kKilo = 1e3;  // kN

// SAE 870421, with F_z in kN and slip in %:
//   D = a1 F_z^2 + a2 F_z,   B C D = (a3 F_z^2 + a4 F_z) exp(-a5 F_z),   E = a6 F_z^2 + a7 F_z + a8.
// With F_z = F_z0 (1 + df) these are, for any F_z0, the load functions of 2006, exactly: D / F_z is linear
// and E square in df, B C D / F_z linear times an exponential.
void from_1987(const v1::MagicFormula1987& m, plant::TyreParams<double>& t) {
  const double nominal = t.nominal_load / kKilo;
  t.c = m.c();
  t.d1 = (m.a1() * nominal + m.a2()) / kKilo;
  t.d2 = m.a1() * nominal / kKilo;
  const double scale = math::exponential(-m.a5() * nominal) / (kPercent * kKilo);
  t.k1 = (m.a3() * nominal + m.a4()) * scale;
  t.k2 = m.a3() * nominal * scale;
  t.k3 = -m.a5() * nominal;
  t.e1 = (m.a6() * nominal + m.a7()) * nominal + m.a8();
  t.e2 = (2 * m.a6() * nominal + m.a7()) * nominal;
  t.e3 = m.a6() * nominal * nominal;
}

}  // namespace

plant::TyreParams<double> tyre(const v1::Tyre& t) {
  plant::TyreParams<double> out{t.nominal_load_n(),
                                t.p_cx1(),
                                t.p_dx1(),
                                t.p_dx2(),
                                t.p_ex1(),
                                t.p_ex2(),
                                t.p_ex3(),
                                t.p_kx1(),
                                t.p_kx2(),
                                t.p_kx3(),
                                t.rolling_radius_m(),
                                t.wheel_inertia_kgm2(),
                                t.relaxation_length_m(),
                                t.rolling_resistance_ratio(),
                                t.low_speed_damping_ns_per_m(),
                                t.has_lateral_friction_ratio() ? t.lateral_friction_ratio() : 1};
  if (t.has_coefficients_1987()) from_1987(t.coefficients_1987(), out);
  return out;
}

}  // namespace brakeward::compile
