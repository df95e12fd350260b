// Actuators and the pedal's hydraulic way from their documents.
#include "compile/curve.h"
#include "compile/parts.h"
#include "compile/units.h"

namespace brakeward::compile {
namespace {

constexpr double kValveDischarge = 0.61;  // sharp-edged orifice (handbook)

plant::ActuatorParams<double> actuator(const v1::Actuator& a, const v1::Scenario& s, double tick_ms,
                                       plant::PlantStructure& st) {
  plant::ActuatorParams<double> out{};
  out.dead_ticks = a.dead_time_ms() / tick_ms;
  out.lag = a.lag_ms() * kMilli;
  out.stall_pressure = a.stall_pressure_bar() * kBar;
  out.flow_limit = a.flow_limit_cm3_per_s() * kCubicCentimetre;
  out.volume_limit = a.volume_limit_cm3() * kCubicCentimetre;
  if (a.has_nominal_supply_volts()) out.per_nominal_supply = 1 / a.nominal_supply_volts();
  out.start_winding = s.has_actuator_celsius() ? s.actuator_celsius() : s.ambient_celsius();
  out.derated = 1;
  if (a.has_heat_at_stall_w()) {
    out.heat_at_stall = a.heat_at_stall_w();
    out.per_heat_capacity = 1 / a.heat_capacity_j_per_k();
    out.cooling = a.cooling_w_per_k();
    out.derating_from = a.derating_from_celsius();
    out.derated = a.derated_percent() * kPercent;
    out.derating_per_kelvin = (1 - out.derated) / (a.derating_to_celsius() - a.derating_from_celsius());
    st.actuator_varies = true;
  }
  return out;
}

// Line pressure over pedal force: ratio x efficiency x share of the balance bar / area. The bar gives each
// clevis the other one's lever arm over their sum, and its pivot that share of the clevis's stroke.
plant::PedalPathParams<double> pedal_path(const v1::PedalPath& p, double tick_ms, plant::PlantStructure& st) {
  plant::PedalPathParams<double> out{};
  const double arms = p.front_arm_mm() + p.rear_arm_mm();
  const double share[] = {p.rear_arm_mm() / arms, p.front_arm_mm() / arms};
  const double bore[] = {p.front_bore_mm() * kMilli, p.rear_bore_mm() * kMilli};
  for (int a = 0; a < signal::kAxles; ++a) {
    const double area = kPi / 4 * bore[a] * bore[a];
    out.pressure_per_force[a] = p.pedal_ratio() * p.efficiency_percent() * kPercent * share[a] / area;
    out.volume_limit[a] = area * p.stroke_mm() * kMilli;
    out.travel_per_volume[a] = p.pedal_ratio() * share[a] / area;
  }
  out.simulator = engine_curve(p.simulator_travel_mm(), 1, kMilli, 0, &st.simulator_segments);
  out.valve_ticks = p.valve_time_ms() / tick_ms;
  out.drop_out = p.drop_out_volts();
  return out;
}

plant::WheelValveParams<double> wheel_valves(const v1::Vehicle& v, const v1::Scenario& s) {
  const v1::WheelValves& valves = v.hydraulic_layout().wheel_valves();
  return {valves.lag_ms() * kMilli,
          orifice_gain(kValveDischarge, valves.outlet_diameter_mm() * kMilli,
                       fluid_density(v.fluid(), s.ambient_celsius())),
          valves.return_volume_cm3() * kCubicCentimetre, valves.return_flow_cm3_per_s() * kCubicCentimetre};
}

}  // namespace

signal::HydraulicLayout layout_of(const v1::Vehicle& v) {
  const v1::HydraulicLayout& layout = v.hydraulic_layout();
  return {layout.split() == v1::CIRCUIT_SPLIT_DIAGONAL, layout.actuators() == v1::ACTUATOR_ARRANGEMENT_SHARED,
          layout.has_wheel_valves()};
}

void compile_hydraulics(const v1::Vehicle& v, const v1::Scenario& s, plant::PlantParams<double>& out,
                        plant::PlantStructure& st) {
  out.actuator[signal::kFront] = actuator(v.front_actuator(), s, v.tick_ms(), st);
  static_cast<signal::HydraulicLayout&>(st) = layout_of(v);
  st.wheels_apart = st.wheels_apart || !st.is_plain();
  if (st.wheel_valves) out.wheel_valve = wheel_valves(v, s);
  out.actuator[signal::kRear] =
      st.shared_actuator ? out.actuator[signal::kFront] : actuator(v.rear_actuator(), s, v.tick_ms(), st);
  if (s.has_supply_volts()) st.actuator_varies = true;
  st.pedal_path = v.has_pedal_path();
  if (st.pedal_path) out.pedal_path = pedal_path(v.pedal_path(), v.tick_ms(), st);
}

}  // namespace brakeward::compile
