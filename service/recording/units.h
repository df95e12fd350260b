// Units a column may be logged in, and the numbers a signal can plausibly hold.
#pragma once

#include <string>
#include <string_view>

#include "recording/recording.h"

namespace brakeward::recording {

enum class Quantity {
  kLength,
  kForce,
  kPressure,
  kSpeed,
  kAcceleration,
  kTemperature,
  kRatio,
  kAngle,
  kTime,
};

// base = (x + shift) x numerator / denominator, in the quantity's base unit.
struct Unit {
  std::string_view name;
  std::string_view other_spellings;  // separated by blanks
  Quantity quantity;
  double numerator;
  double denominator;
  double shift;

  double to_base(double x) const { return (x + shift) * numerator / denominator; }
  double from_base(double x) const { return x * denominator / numerator - shift; }
};

// What a signal is measured in and what a real car can show, in base units.
struct SignalFacts {
  std::string_view name;
  Quantity quantity;
  double least;
  double greatest;
};

// Facts of a signal; `s` must be a signal, not kCount.
const SignalFacts& facts(Signal s);

std::string_view quantity_name(Quantity quantity);
std::string_view base_unit_name(Quantity quantity);

// The unit of that name if it measures that quantity, else null.
const Unit* find_unit(std::string_view name, Quantity quantity);

// "Pa, kPa, MPa, bar, mbar, psi".
std::string accepted_units(Quantity quantity);

// Units other than `used` in which both numbers lie within the signal's plausible range: "kPa or mbar", or
// empty.
std::string fitting_units(Signal s, const Unit& used, double least, double greatest);

}  // namespace brakeward::recording
