#include "scenario/disturbances.h"

#include <set>
#include <string_view>
#include <utility>

namespace brakeward::scenario {
namespace {

// Where a fault happens, and the number that says how bad it is, if any.
struct Needs {
  bool track, circuit, wheel;
  const char* number;
};

Needs needs_of(v1::FaultKind kind) {
  switch (kind) {
    case v1::FAULT_KIND_CIRCUIT_LEAK:
      return {false, true, false, "leak_diameter_mm"};
    case v1::FAULT_KIND_SUPPLY_DIP:
      return {false, false, false, "supply_volts"};
    case v1::FAULT_KIND_ACTUATOR_DEAD:
    case v1::FAULT_KIND_PRESSURE_SENSOR_STUCK:
      return {false, true, false, ""};
    case v1::FAULT_KIND_ACTUATOR_SLOW:
    case v1::FAULT_KIND_ACTUATOR_FLOW_LIMITED:
      return {false, true, false, "remaining_percent"};
    case v1::FAULT_KIND_PRESSURE_SENSOR_OFFSET:
      return {false, true, false, "offset_bar"};
    case v1::FAULT_KIND_PRESSURE_SENSOR_DRIFT:
      return {false, true, false, "drift_bar_per_s"};
    case v1::FAULT_KIND_WHEEL_SPEED_LOST:
      return {false, false, true, ""};
    case v1::FAULT_KIND_BUS_DELAYED:
      return {false, false, false, "delay_ms"};
    case v1::FAULT_KIND_BUS_SILENT:
    case v1::FAULT_KIND_BUS_MESSAGE_LOST:
    case v1::FAULT_KIND_SELECTOR_CHANGED:
      return {false, false, false, ""};
    case v1::FAULT_KIND_ACCELEROMETER_OFFSET:
      return {false, false, false, "offset_mps2"};
    case v1::FAULT_KIND_ACCELERATOR_PRESSED:
      return {false, false, false, "accelerator_percent"};
    case v1::FAULT_KIND_TRACK_NOISE:
      return {true, false, false, "noise_volts"};
    default:
      return {true, false, false, ""};
  }
}

bool of_bus(v1::FaultKind kind) {
  return kind == v1::FAULT_KIND_BUS_SILENT || kind == v1::FAULT_KIND_BUS_DELAYED ||
         kind == v1::FAULT_KIND_BUS_MESSAGE_LOST;
}

// The same wheel twice would hide the first.
template <class List>
void check_wheels(const List& list, const std::string& name, const std::string& file,
                  document::Faults& faults) {
  std::set<v1::Wheel> seen;
  for (int i = 0; i < list.size(); ++i)
    if (!seen.insert(list[i].wheel()).second)
      faults.add({file, 0, 0, name + "[" + std::to_string(i) + "].wheel",
                  v1::Wheel_Name(list[i].wheel()) + " is named twice; give one entry a wheel"});
}

void check_fault(const v1::Fault& f, const std::string& at, const std::string& file,
                 document::Faults& faults) {
  const Needs needs = needs_of(f.kind());
  const auto want = [&](bool needed, bool given, const char* field) {
    if (needed == given) return;
    faults.add({file, 0, 0, at + "." + field,
                v1::FaultKind_Name(f.kind()) +
                    (needed ? " needs it; give it" : " has no use for it; leave it out")});
  };
  want(needs.track, f.track() != v1::REQUEST_TRACK_UNSPECIFIED, "track");
  want(needs.circuit, f.circuit() != v1::CIRCUIT_UNSPECIFIED, "circuit");
  want(needs.wheel, f.wheel() != v1::WHEEL_UNSPECIFIED, "wheel");
  const std::pair<const char*, bool> numbers[] = {{"leak_diameter_mm", f.has_leak_diameter_mm()},
                                                  {"supply_volts", f.has_supply_volts()},
                                                  {"noise_volts", f.has_noise_volts()},
                                                  {"offset_bar", f.has_offset_bar()},
                                                  {"drift_bar_per_s", f.has_drift_bar_per_s()},
                                                  {"delay_ms", f.has_delay_ms()},
                                                  {"remaining_percent", f.has_remaining_percent()},
                                                  {"accelerator_percent", f.has_accelerator_percent()},
                                                  {"offset_mps2", f.has_offset_mps2()}};
  for (const auto& [name, given] : numbers) want(name == std::string_view(needs.number), given, name);
}

}  // namespace

void check_disturbances(const v1::Scenario& s, const v1::Vehicle& v, const std::string& file,
                        document::Faults& faults) {
  const auto missing = [&](bool given, const std::string& at, const std::string& field) {
    if (!given)
      faults.add({file, 0, 0, at,
                  "has no effect, because vehicle \"" + v.name() + "\" has no " + field +
                      "; set it in the vehicle document, or leave this out"});
  };
  bool supply_matters = s.has_supply_volts();
  for (int i = 0; i < s.faults_size(); ++i) {
    const std::string at = "faults[" + std::to_string(i) + "]";
    check_fault(s.faults(i), at, file, faults);
    if (of_bus(s.faults(i).kind())) missing(v.sensors().has_bus_period_ms(), at, "sensors.bus_period_ms");
    if (s.faults(i).kind() == v1::FAULT_KIND_ACCELEROMETER_OFFSET)
      missing(v.sensors().has_acceleration_step_mps2(), at, "sensors.acceleration_step_mps2");
    if (s.faults(i).kind() == v1::FAULT_KIND_ACCELERATOR_PRESSED)
      missing(v.driveline().traction_limit_n() > 0, at, "driveline.traction_limit_n above 0");
    supply_matters = supply_matters || s.faults(i).kind() == v1::FAULT_KIND_SUPPLY_DIP;
  }
  check_wheels(s.caliper_air(), "caliper_air", file, faults);
  check_wheels(s.knock_back(), "knock_back", file, faults);
  if (supply_matters && !v.has_pedal_path()) {
    const char* at = s.has_supply_volts() ? "supply_volts" : "faults";
    missing(v.front_actuator().has_nominal_supply_volts(), at, "front_actuator.nominal_supply_volts");
    missing(!v.has_rear_actuator() || v.rear_actuator().has_nominal_supply_volts(), at,
            "rear_actuator.nominal_supply_volts");
  }
  if (s.has_actuator_celsius()) {
    missing(v.front_actuator().has_heat_at_stall_w(), "actuator_celsius", "front_actuator.heat_at_stall_w");
    missing(!v.has_rear_actuator() || v.rear_actuator().has_heat_at_stall_w(), "actuator_celsius",
            "rear_actuator.heat_at_stall_w");
  }
  if (s.has_fluid_water_percent())
    missing(v.fluid().has_dry_boiling_celsius(), "fluid_water_percent", "fluid.dry_boiling_celsius");
  if (s.has_pad_friction_start_percent()) {
    missing(v.front_brake().has_friction_recovery_work_kj(), "pad_friction_start_percent",
            "front_brake.friction_recovery_work_kj");
    missing(v.rear_brake().has_friction_recovery_work_kj(), "pad_friction_start_percent",
            "rear_brake.friction_recovery_work_kj");
  }
}

}  // namespace brakeward::scenario
