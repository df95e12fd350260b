// Calipers, pads, lines and fluid from their documents.
#include <algorithm>
#include <cmath>

#include "compile/curve.h"
#include "compile/parts.h"
#include "compile/units.h"
#include "math/constants.h"
#include "math/elementary.h"

namespace brakeward::compile {
namespace {

constexpr double kReferenceCelsius = 20;     // of the fluid's density
constexpr double kWetWater_percent = 3.7;    // FMVSS 116, S6.2
constexpr double kWaterBoils_celsius = 100;  // at the standard atmosphere

// Between the points after ASTM D341 (Walther): ln ln(nu + 0.7) is linear in ln T; held outside.
double viscosity_at(const v1::Curve& curve, double celsius) {
  const auto& points = curve.points();
  if (celsius <= points[0].x()) return points[0].y();
  for (int i = 1; i < points.size(); ++i) {
    const v1::CurvePoint &low = points[i - 1], &high = points[i];
    if (celsius > high.x()) continue;
    const auto kelvin = [](double c) { return math::logarithm(c + math::kZeroCelsius); };
    const auto walther = [](double nu) { return math::logarithm(math::logarithm(nu + 0.7)); };
    const double at = (kelvin(celsius) - kelvin(low.x())) / (kelvin(high.x()) - kelvin(low.x()));
    const double there = walther(low.y()) + at * (walther(high.y()) - walther(low.y()));
    return math::exponential(math::exponential(there)) - 0.7;
  }
  return points[points.size() - 1].y();
}

// The pressure p_lam at which Q = G dp / sqrt(|dp| + p_lam) has, for small dp, the conductance of the line,
// pi d^4 / (128 mu L) (Hagen and Poiseuille). Lines lie in the air and have its temperature.
double laminar_pressure(const v1::WheelBrake& b, const v1::Fluid& fluid, double celsius, double gain) {
  if (fluid.viscosity_mm2_per_s().points_size() == 0) return b.laminar_pressure_bar() * kBar;
  const double square = b.line_bore_mm() * kMilli * b.line_bore_mm() * kMilli;
  const double dynamic =
      viscosity_at(fluid.viscosity_mm2_per_s(), celsius) * 1e-6 * fluid_density(fluid, celsius);
  const double resistance = 128 * dynamic * b.line_length_m() / (kPi * square * square);
  return gain * resistance * gain * resistance;
}

// Fluid in caliper and line gives as V / B; it stands in series with the caliper.
double stiffness(const v1::WheelBrake& b, const v1::Fluid& fluid) {
  const double own = b.stiffness_bar_per_cm3() * kBar / kCubicCentimetre;
  if (!fluid.has_bulk_modulus_gpa()) return own;
  const double bore = b.line_bore_mm() * kMilli;
  const double line = b.has_line_length_m() ? kPi / 4 * bore * bore * b.line_length_m() : 0;
  const double volume = b.fluid_volume_cm3() * kCubicCentimetre + line;
  return 1 / (1 / own + volume / (fluid.bulk_modulus_gpa() * 1e9));
}

// Between the dry point and the one at 3.7 % the boiling point falls convexly; an exponential towards water's
// own (shape: common practice, no source).
double boiling_point(const v1::Fluid& fluid, double water_percent) {
  const double dry = fluid.dry_boiling_celsius() - kWaterBoils_celsius;
  const double wet = fluid.wet_boiling_celsius() - kWaterBoils_celsius;
  return kWaterBoils_celsius + dry * math::power(wet / dry, water_percent / kWetWater_percent);
}

// A curve that counts where it is given, though it be level: one segment at least.
math::Curve<double> given_curve(const v1::Curve& curve, double x_unit, double y_unit, double otherwise,
                                int* segments) {
  const auto made = engine_curve(curve, x_unit, y_unit, otherwise, segments);
  if (curve.points_size() > 0) *segments = std::max(*segments, 1);
  return made;
}

plant::BrakeParams<double> brake(const v1::WheelBrake& b, const v1::Vehicle& v, const v1::Scenario& s,
                                 plant::PlantStructure& st) {
  const v1::Fluid& fluid = v.fluid();
  const double cubic_mm_per_mj = 1e-9 / 1e6;
  plant::BrakeParams<double> out{};
  out.torque_per_pascal = 2 * b.piston_area_cm2() * kSquareCentimetre * b.effective_radius_mm() * kMilli;
  out.opening_pressure = b.opening_pressure_bar() * kBar;
  out.pad = engine_curve(b.pad_friction(), 1, 1, 0.4, &st.pad_segments);
  out.pad_per_pressure = given_curve(b.pad_friction_per_pressure(), kBar, 1, 1, &st.pad_pressure_segments);
  out.pad_per_speed = given_curve(b.pad_friction_per_speed(), 1, 1, 1, &st.pad_speed_segments);
  out.wear = given_curve(b.pad_wear_mm3_per_mj(), 1, cubic_mm_per_mj, 0, &st.wear_segments);
  out.effective_radius = b.effective_radius_mm() * kMilli;
  out.pad_lack = s.has_pad_friction_start_percent() ? 1 - s.pad_friction_start_percent() * kPercent : 0;
  out.per_recovery_work = b.has_friction_recovery_work_kj() ? 1 / (b.friction_recovery_work_kj() * 1e3) : 0;
  out.drag = b.residual_drag_nm();
  out.seal_friction = b.seal_friction_bar() * kBar;
  out.heat = brake_heat(b, fluid);
  out.clearance = b.clearance_volume_cm3() * kCubicCentimetre;
  out.knee = b.knee_volume_cm3() * kCubicCentimetre;
  out.stiffness = stiffness(b, fluid);
  out.flow_gain = orifice_gain(b.discharge_coefficient(), b.orifice_diameter_mm() * kMilli,
                               fluid_density(fluid, s.ambient_celsius()));
  out.laminar_pressure = laminar_pressure(b, fluid, s.ambient_celsius(), out.flow_gain);
  out.boiling = 1e4;
  if (fluid.has_dry_boiling_celsius()) {
    const double water = s.has_fluid_water_percent() ? s.fluid_water_percent() : fluid.water_percent();
    out.boiling = boiling_point(fluid, water);
    out.vapour_growth = fluid.vapour_growth_cm3_per_sk() * kCubicCentimetre;
    out.vapour_limit = b.fluid_volume_cm3() * kCubicCentimetre;
    st.gas = st.wheels_apart = true;
  }
  st.pads_lack = st.pads_lack || out.pad_lack > 0;
  st.seals = st.seals || out.seal_friction > 0;
  return out;
}

}  // namespace

double orifice_gain(double discharge_coefficient, double diameter_m, double density_kg_per_m3) {
  const double radius = 0.5 * diameter_m;
  return discharge_coefficient * kPi * radius * radius * std::sqrt(2 / density_kg_per_m3);
}

double fluid_density(const v1::Fluid& fluid, double celsius) {
  return fluid.density_kg_per_m3() + fluid.density_change_kg_per_m3k() * (celsius - kReferenceCelsius);
}

void compile_brakes(const v1::Vehicle& v, const v1::Scenario& s, plant::PlantParams<double>& out,
                    plant::PlantStructure& st) {
  out.brake[signal::kFront] = brake(v.front_brake(), v, s, st);
  out.brake[signal::kRear] = brake(v.rear_brake(), v, s, st);
  out.start_fluid[signal::kFront] =
      s.has_front_fluid_celsius() ? s.front_fluid_celsius() : s.ambient_celsius();
  out.start_fluid[signal::kRear] = s.has_rear_fluid_celsius() ? s.rear_fluid_celsius() : s.ambient_celsius();
  for (const v1::CaliperAir& air : s.caliper_air()) {
    out.caliper_air[air.wheel() - v1::WHEEL_FRONT_LEFT] = air.volume_cm3() * kCubicCentimetre;
    st.gas = st.wheels_apart = true;
  }
}

}  // namespace brakeward::compile
