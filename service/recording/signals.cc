#include "recording/units.h"

namespace brakeward::recording {
namespace {

// Plausible ranges are wide on purpose: they tell a wrong unit or a broken sensor, not an unusual car. Common
// practice, no source; units_test pins them.
constexpr SignalFacts kSignals[] = {
    {"hand_travel", Quantity::kLength, -0.1, 0.5},
    {"pedal_force", Quantity::kForce, -500, 5000},
    {"front_pressure", Quantity::kPressure, -5e5, 400e5},
    {"rear_pressure", Quantity::kPressure, -5e5, 400e5},
    {"speed", Quantity::kSpeed, -20, 120},
    {"deceleration", Quantity::kAcceleration, -80, 80},
    {"lateral_acceleration", Quantity::kAcceleration, -80, 80},
    {"wheel_speed_front_left", Quantity::kSpeed, -20, 140},
    {"wheel_speed_front_right", Quantity::kSpeed, -20, 140},
    {"wheel_speed_rear_left", Quantity::kSpeed, -20, 140},
    {"wheel_speed_rear_right", Quantity::kSpeed, -20, 140},
    {"front_disc_temperature", Quantity::kTemperature, -60, 1300},
    {"rear_disc_temperature", Quantity::kTemperature, -60, 1300},
    {"accelerator", Quantity::kRatio, -0.2, 1.2},
    {"steering_angle", Quantity::kAngle, -16, 16},
};
static_assert(std::size(kSignals) == static_cast<size_t>(Signal::kCount));

}  // namespace

const SignalFacts& facts(Signal s) {
  return kSignals[static_cast<size_t>(s)];
}

std::string_view name(Signal s) {
  return s < Signal::kCount ? facts(s).name : std::string_view("unknown");
}

std::string_view base_unit(Signal s) {
  return s < Signal::kCount ? base_unit_name(facts(s).quantity) : std::string_view();
}

}  // namespace brakeward::recording
