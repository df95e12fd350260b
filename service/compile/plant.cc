#include <algorithm>
#include <cmath>

#include "compile/curve.h"
#include "compile/parts.h"
#include "compile/units.h"
#include "math/elementary.h"

namespace brakeward::compile {
namespace {

plant::BrakeParams<double> brake(const v1::WheelBrake& b, const v1::Fluid& fluid, int* pad_segments) {
  plant::BrakeParams<double> out{};
  out.torque_per_pascal = 2 * b.piston_area_cm2() * kSquareCentimetre * b.effective_radius_mm() * kMilli;
  out.opening_pressure = b.opening_pressure_bar() * kBar;
  out.pad = engine_curve(b.pad_friction(), 1, 1, 0.4, pad_segments);
  out.heat = brake_heat(b, fluid);
  out.clearance = b.clearance_volume_cm3() * kCubicCentimetre;
  out.knee = b.knee_volume_cm3() * kCubicCentimetre;
  out.stiffness = b.stiffness_bar_per_cm3() * kBar / kCubicCentimetre;
  const double radius = 0.5 * b.orifice_diameter_mm() * kMilli;
  out.flow_gain =
      b.discharge_coefficient() * kPi * radius * radius * std::sqrt(2 / fluid.density_kg_per_m3());
  out.laminar_pressure = b.laminar_pressure_bar() * kBar;
  return out;
}

// Backward Euler over 4 ms is half a percent off at the friction face a tenth of a second after the brake is
// applied, and less from then on. Longer ticks step every tick.
constexpr double kLongestHeatStep_ms = 4;

plant::ActuatorParams<double> actuator(const v1::Actuator& a, double tick_ms) {
  return {a.dead_time_ms() / tick_ms, a.lag_ms() * kMilli, a.stall_pressure_bar() * kBar,
          a.flow_limit_cm3_per_s() * kCubicCentimetre, a.volume_limit_cm3() * kCubicCentimetre};
}

plant::SensorParams<double> sensors(const v1::Sensors& s) {
  plant::SensorParams<double> out{};
  const v1::SensorTrack* hand[] = {&s.hand_track_a(), &s.hand_track_b()};
  for (int t = 0; t < signal::kHandTracks; ++t) {
    out.hand_zero[t] = hand[t]->zero_volts();
    out.hand_slope[t] = hand[t]->volts_per_unit() / kMilli;
  }
  out.hand_limit = s.hand_travel_limit_mm() * kMilli;
  out.pedal_zero = s.pedal_track().zero_volts();
  out.pedal_slope = s.pedal_track().volts_per_unit();
  out.voltage_step = s.voltage_step_mv() * kMilli;
  out.pressure_step = s.pressure_step_bar() * kBar;
  out.wheel_speed_step = s.wheel_speed_step_rad_per_s();
  return out;
}

void driveline(const v1::Driveline& d, plant::PlantParams<double>& out) {
  const bool front = d.layout() != v1::DRIVE_LAYOUT_REAR, rear = d.layout() != v1::DRIVE_LAYOUT_FRONT;
  const double share = front && rear ? 0.25 : 0.5;
  out.driven_share[signal::kFront] = front ? share : 0;
  out.driven_share[signal::kRear] = rear ? share : 0;
  out.engine_braking = d.engine_braking_nm();
  out.engine_braking_fade = d.engine_braking_fade_kph() * kKph;
  out.traction_limit = d.traction_limit_n();
}

constexpr double kPerKilometre = 1e-3;

// Burckhardt's coefficients, as found in public codes; the cobbles' last digits from memory. Greatest mu at
// s = ln(c1 c2 / c3) / c2, or at lock where c3 is 0.
plant::SurfaceParams<double> surface(v1::Surface named) {
  struct {
    v1::Surface name;
    double c1, c2, c3;
  } constexpr kTable[] = {{v1::SURFACE_DRY_ASPHALT, 1.2801, 23.99, 0.52},
                          {v1::SURFACE_WET_ASPHALT, 0.857, 33.822, 0.347},
                          {v1::SURFACE_DRY_CONCRETE, 1.1973, 25.168, 0.5373},
                          {v1::SURFACE_DRY_COBBLES, 1.3713, 6.4565, 0.6691},
                          {v1::SURFACE_WET_COBBLES, 0.4004, 33.7080, 0.1204},
                          {v1::SURFACE_SNOW, 0.1946, 94.129, 0.0646},
                          {v1::SURFACE_ICE, 0.05, 306.39, 0}};
  plant::SurfaceParams<double> out{};
  for (const auto& row : kTable) {
    if (row.name != named) continue;
    const double at = row.c3 > 0 ? std::min(1.0, math::logarithm(row.c1 * row.c2 / row.c3) / row.c2) : 1;
    out = {row.c1, row.c2, row.c3, row.c1 * (1 - math::exponential(-row.c2 * at)) - row.c3 * at};
  }
  return out;
}

void road(const v1::Road& r, plant::RoadParams<double>& out, plant::PlantStructure& st) {
  out.friction[0] = engine_curve(r.friction_left(), 1, 1, 1, &st.friction_segments);
  out.friction[1] = engine_curve(r.has_friction_right() ? r.friction_right() : r.friction_left(), 1, 1, 1,
                                 &st.friction_segments);
  out.grade = engine_curve(r.grade(), 1, kPercent, 0, &st.grade_segments);
  out.banking = engine_curve(r.banking(), 1, kPercent, 0, &st.banking_segments);
  out.vertical_curvature = engine_curve(r.vertical_curvature(), 1, kPerKilometre, 0, &st.vertical_segments);
  out.path_curvature = engine_curve(r.path_curvature(), 1, kPerKilometre, 0, &st.path_segments);
  st.lateral = r.banking().points_size() > 0 || r.path_curvature().points_size() > 0;
  st.exponential = r.surface() != v1::SURFACE_UNSPECIFIED;
  if (st.exponential) out.surface = surface(r.surface());
}

}  // namespace

void compile_plant(const v1::Vehicle& v, const v1::Scenario& s, plant::PlantParams<double>& out,
                   plant::PlantStructure& st) {
  st.tick_s = v.tick_ms() * kMilli;
  st.substeps = v.plant_substeps();
  st.heat_ticks = std::max(1, static_cast<int>(std::floor(kLongestHeatStep_ms / v.tick_ms())));
  st.pressure_entry = s.entry_point() == v1::ENTRY_POINT_PRESSURE;
  out.mass = v.chassis().mass_kg() + s.cargo_kg();
  out.wheelbase = v.chassis().wheelbase_m();
  out.static_front = 1 - v.chassis().cog_behind_front_axle_m() / v.chassis().wheelbase_m();
  out.cog_height = v.chassis().cog_height_m();
  out.track[signal::kFront] = v.chassis().front_track_width_m();
  out.track[signal::kRear] = v.chassis().rear_track_width_m();
  out.roll_share[signal::kFront] = v.chassis().front_roll_share_percent() * kPercent;
  out.roll_share[signal::kRear] = 1 - out.roll_share[signal::kFront];
  out.pitch_rate = 2 * kPi * v.chassis().pitch_frequency_hz();
  out.pitch_damping = v.chassis().pitch_damping_ratio();
  const double half_density = 0.5 * s.air_density_kg_per_m3();
  out.drag = half_density * v.aero().drag_area_m2();
  out.drag_height = v.aero().drag_height_m();
  out.downforce[signal::kFront] = half_density * v.aero().front_downforce_area_m2();
  out.downforce[signal::kRear] = half_density * v.aero().rear_downforce_area_m2();
  out.tyre[signal::kFront] = tyre(v.front_tyre());
  out.tyre[signal::kRear] = tyre(v.rear_tyre());
  out.brake[signal::kFront] = brake(v.front_brake(), v.fluid(), &st.pad_segments);
  out.brake[signal::kRear] = brake(v.rear_brake(), v.fluid(), &st.pad_segments);
  out.actuator[signal::kFront] = actuator(v.front_actuator(), v.tick_ms());
  out.actuator[signal::kRear] = actuator(v.rear_actuator(), v.tick_ms());
  out.sensor = sensors(v.sensors());
  road(s.road(), out.road, st);
  driveline(v.driveline(), out);
  out.ambient = s.ambient_celsius();
  out.start_disc[signal::kFront] = s.front_disc_celsius();
  out.start_disc[signal::kRear] = s.rear_disc_celsius();
}

}  // namespace brakeward::compile
