#include <algorithm>
#include <cmath>

#include "compile/curve.h"
#include "compile/parts.h"
#include "compile/units.h"

namespace brakeward::compile {
namespace {

// Backward Euler over 4 ms is half a percent off at the friction face a tenth of a second after the brake is
// applied, and less from then on. Longer ticks step every tick.
constexpr double kLongestHeatStep_ms = 4;

plant::SensorParams<double> sensors(const v1::Sensors& s, double tick_ms) {
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
  out.bus_period_ticks = s.bus_period_ms() / tick_ms;
  out.bus_delay_ticks = whole_ticks(s.bus_delay_ms() / tick_ms);
  out.acceleration_offset = s.acceleration_offset_mps2();
  out.acceleration_step = s.acceleration_step_mps2();
  return out;
}

plant::SuspensionParams<double> suspension(const v1::Suspension& s) {
  return {s.unsprung_mass_kg(), s.wheel_rate_n_per_mm() / kMilli, s.damping_ns_per_m(),
          s.tyre_stiffness_n_per_mm() / kMilli};
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
  compile_brakes(v, s, out, st);
  compile_hydraulics(v, s, out, st);
  out.sensor = sensors(v.sensors(), v.tick_ms());
  st.request_bus = v.sensors().has_bus_period_ms();
  out.suspension[signal::kFront] = suspension(v.front_suspension());
  out.suspension[signal::kRear] = suspension(v.rear_suspension());
  road(s.road(), out.road, st);
  driveline(v.driveline(), out, st);
  out.battery.start_charge = s.has_battery_charge_percent() ? s.battery_charge_percent() * kPercent : 0.5;
  out.ambient = s.ambient_celsius();
  out.start_disc[signal::kFront] = s.front_disc_celsius();
  out.start_disc[signal::kRear] = s.rear_disc_celsius();
}

}  // namespace brakeward::compile
