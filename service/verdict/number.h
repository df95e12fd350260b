// The one rule by which every view prints a number.
//
// A number is printed with the fixed decimals of its measure, never as "-0.0", and never so that a failing
// value reads inside: where rounding would hide that a value is beyond its bound, digits are added to both
// until it shows. A passing value cannot read outside, because rounding keeps the order of two numbers.
#pragma once

#include <string>
#include <string_view>

namespace brakeward::verdict {

// Fixed decimals, locale-free. 1e15 and beyond is printed as the shortest text that reads back to the same
// double; what is not finite as "not a number", "infinite" or "minus infinite".
std::string format_number(double value, int decimals);

// As format_number with a leading "+" where the printed number is positive.
std::string format_signed(double value, int decimals);

// A value and the bound it is beyond, as printed.
struct NumberPair {
  std::string value;
  std::string bound;
};

// Both with the same number of decimals, at least `decimals`, and as many more (up to 12, then the shortest
// text that reads back exactly) as it takes for two different numbers to read differently.
NumberPair format_apart(double value, double bound, int decimals);

// Tolerance used as a whole percentage, "87 %". More than the whole tolerance never reads "100 %"; nothing
// allowed and something used (kNothingAllowed) reads "none allowed".
std::string format_share(double tolerance_used);

// Number and unit; nothing is appended for a measure without one ("1" or empty).
std::string with_unit(std::string_view number, std::string_view unit);

// Difference of two numbers and its unit: a difference of percentages is in percentage points, for "2 %"
// could be read as relative.
std::string with_unit_of_change(std::string_view number, std::string_view unit);

}  // namespace brakeward::verdict
