#include "recording/units.h"

#include <algorithm>

#include "recording/text.h"

namespace brakeward::recording {
namespace {

constexpr double kPi = 3.14159265358979323846;

// Exact factors: standard gravity, the inch, the mile and the pound-force as the international definitions
// give them (NIST SP 811, appendix B); degrees Celsius and Fahrenheit by definition.
constexpr Unit kUnits[] = {
    {"m", "", Quantity::kLength, 1, 1, 0},
    {"mm", "", Quantity::kLength, 1, 1000, 0},
    {"cm", "", Quantity::kLength, 1, 100, 0},
    {"in", "inch", Quantity::kLength, 254, 10000, 0},
    {"N", "", Quantity::kForce, 1, 1, 0},
    {"kN", "", Quantity::kForce, 1000, 1, 0},
    {"daN", "", Quantity::kForce, 10, 1, 0},
    {"lbf", "", Quantity::kForce, 4.4482216152605, 1, 0},
    {"Pa", "", Quantity::kPressure, 1, 1, 0},
    {"kPa", "", Quantity::kPressure, 1e3, 1, 0},
    {"MPa", "", Quantity::kPressure, 1e6, 1, 0},
    {"bar", "", Quantity::kPressure, 1e5, 1, 0},
    {"mbar", "hPa", Quantity::kPressure, 100, 1, 0},
    {"psi", "", Quantity::kPressure, 4.4482216152605, 0.00064516, 0},
    {"m/s", "mps", Quantity::kSpeed, 1, 1, 0},
    {"km/h", "kph kmh kmph", Quantity::kSpeed, 5, 18, 0},
    {"mph", "", Quantity::kSpeed, 1397, 3125, 0},
    {"m/s^2", "m/s2 mps2 m/s²", Quantity::kAcceleration, 1, 1, 0},
    {"g", "G", Quantity::kAcceleration, 9.80665, 1, 0},
    {"degC", "C °C celsius", Quantity::kTemperature, 1, 1, 0},
    {"K", "", Quantity::kTemperature, 1, 1, -273.15},
    {"degF", "F °F", Quantity::kTemperature, 5, 9, -32},
    {"1", "", Quantity::kRatio, 1, 1, 0},
    {"%", "percent", Quantity::kRatio, 1, 100, 0},
    {"rad", "", Quantity::kAngle, 1, 1, 0},
    {"deg", "°", Quantity::kAngle, kPi, 180, 0},
    {"s", "", Quantity::kTime, 1, 1, 0},
    {"ms", "", Quantity::kTime, 1, 1000, 0},
    {"us", "µs", Quantity::kTime, 1, 1000000, 0},
    {"ns", "", Quantity::kTime, 1, 1000000000, 0},
};

bool spelled(const Unit& unit, std::string_view name) {
  if (unit.name == name) return true;
  std::string_view rest = unit.other_spellings;
  while (!rest.empty()) {
    const std::string_view spelling = rest.substr(0, rest.find(' '));
    if (spelling == name) return true;
    rest.remove_prefix(std::min(rest.size(), spelling.size() + 1));
  }
  return false;
}

bool inside(double x, const SignalFacts& range) {
  return x >= range.least && x <= range.greatest;
}

}  // namespace

std::string_view quantity_name(Quantity quantity) {
  switch (quantity) {
    case Quantity::kLength:
      return "a length";
    case Quantity::kForce:
      return "a force";
    case Quantity::kPressure:
      return "a pressure";
    case Quantity::kSpeed:
      return "a speed";
    case Quantity::kAcceleration:
      return "an acceleration";
    case Quantity::kTemperature:
      return "a temperature";
    case Quantity::kRatio:
      return "a ratio";
    case Quantity::kAngle:
      return "an angle";
    case Quantity::kTime:
      return "a time";
  }
  return "";
}

std::string_view base_unit_name(Quantity quantity) {
  for (const Unit& unit : kUnits) {
    if (unit.quantity == quantity) return unit.name;
  }
  return "";
}

const Unit* find_unit(std::string_view name, Quantity quantity) {
  for (const Unit& unit : kUnits) {
    if (unit.quantity == quantity && spelled(unit, name)) return &unit;
  }
  return nullptr;
}

std::string accepted_units(Quantity quantity) {
  std::string names;
  for (const Unit& unit : kUnits) {
    if (unit.quantity == quantity) names += joined(names.empty() ? "" : ", ", unit.name);
  }
  return names;
}

std::string fitting_units(Signal s, const Unit& used, double least, double greatest) {
  const SignalFacts& range = facts(s);
  std::string names;
  for (const Unit& unit : kUnits) {
    if (unit.quantity != range.quantity || unit.name == used.name) continue;
    if (!inside(unit.to_base(least), range) || !inside(unit.to_base(greatest), range)) continue;
    names += joined(names.empty() ? "" : " or ", unit.name);
  }
  return names;
}

}  // namespace brakeward::recording
