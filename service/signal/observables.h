// The one list of observables a trace carries: name, unit, meaning, and whether it is true or sensed.
#pragma once

#include <cstddef>
#include <stdexcept>
#include <string_view>

namespace brakeward::signal {

struct Observable {
  const char* name;
  const char* unit;
  const char* meaning;
};

// Columns of a trace, in order. The engine fills a row per tick in the same order (replay/trace_row.inl.h).
inline constexpr Observable kObservables[] = {
    {"time", "s", "time since the start of the replay"},
    {"hand_travel", "mm", "true travel of the hand control"},
    {"pedal_force", "N", "true pedal force"},
    {"reference_pressure_front", "bar",
     "raw request through the baseline's static feel curve, front circuit"},
    {"demand", "bar", "controller's demanded mean circuit pressure"},
    {"target_front", "bar", "controller's target at the front wheel that gets more"},
    {"target_rear", "bar", "controller's target at the rear wheel that gets more"},
    {"pressure_front", "bar", "true pressure, mean of both front calipers"},
    {"pressure_rear", "bar", "true pressure, mean of both rear calipers"},
    {"request_state", "1", "0 ready, 1 limited, 2 lost, 3 rearming"},
    {"speed", "m/s", "true speed"},
    {"distance", "m", "distance travelled"},
    {"deceleration", "m/s^2", "true deceleration, positive when slowing"},
    {"brake_slip_front_left", "1", "true braking slip, positive when braking"},
    {"brake_slip_front_right", "1", "true braking slip, positive when braking"},
    {"brake_slip_rear_left", "1", "true braking slip, positive when braking"},
    {"brake_slip_rear_right", "1", "true braking slip, positive when braking"},
    {"load_front_left", "N", "wheel load"},
    {"load_front_right", "N", "wheel load"},
    {"load_rear_left", "N", "wheel load"},
    {"load_rear_right", "N", "wheel load"},
    {"torque_front_left", "N m", "brake torque available"},
    {"torque_rear_left", "N m", "brake torque available"},
    {"disc_front_left", "degC", "disc temperature at the friction face"},
    {"disc_rear_left", "degC", "disc temperature at the friction face"},
    {"fluid_front_left", "degC", "fluid temperature in the caliper"},
    {"fluid_rear_left", "degC", "fluid temperature in the caliper"},
    {"gas_front_left", "cm^3", "air and vapour in the caliper, at the air's pressure"},
    {"gas_rear_left", "cm^3", "air and vapour in the caliper, at the air's pressure"},
    {"pad_worn_front_left", "mm^3", "volume worn off all pads of the brake"},
    {"pad_worn_rear_left", "mm^3", "volume worn off all pads of the brake"},
    {"winding_front", "degC", "winding temperature of the front circuit's actuator"},
    {"winding_rear", "degC", "winding temperature of the rear circuit's actuator"},
    {"pedal_travel", "mm", "travel of the pedal, with power against the simulator; 0 where it is not known"},
    {"slip_factor_front", "1", "least share of the demand the slip limiter leaves a wheel"},
    {"slip_factor_rear", "1", "least share of the demand the slip limiter leaves a wheel"},
    {"controller_reference_speed", "m/s", "the controller's own speed estimate"},
    {"lateral_force_unmet", "N", "lateral force the tyres could not give in a bend, positive to the left"},
    {"yaw_moment_unmet", "N m",
     "yaw moment left in a bend, of that and of unequal braking, positive to the left"},
    {"lifted_wheels", "1", "wheels without load"},
    {"motor_torque_front", "N m", "motor's torque at both front wheels, negative when braking"},
    {"motor_torque_rear", "N m", "motor's torque at both rear wheels, negative when braking"},
    {"battery_charge", "%", "charge of the motors' battery; 0 without motors"},
    {"energy_recovered", "kJ", "energy the motors have put into the battery"},
    {"recorded_deceleration", "m/s^2", "smoothed recorded deceleration; empty where not compared"},
    {"recorded_pressure", "bar", "recorded front circuit pressure; empty where not compared"},
};

inline constexpr int kObservableCount = sizeof(kObservables) / sizeof(kObservables[0]);

// Position of an observable in a row; as a constant, a name that is not there does not compile.
constexpr size_t column_of(std::string_view name) {
  for (size_t i = 0; i < size_t{kObservableCount}; ++i)
    if (kObservables[i].name == name) return i;
  throw std::invalid_argument("there is no such observable");
}

// A cell below this holds nothing: nothing was recorded there. No signal can be as low.
inline constexpr double kNothingRecorded = -1e20;

}  // namespace brakeward::signal
