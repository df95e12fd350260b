#include "verdict/number.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "verdict/concat.h"
#include "verdict/tolerance.h"

namespace brakeward::verdict {
namespace {

constexpr int kMostDecimals = 12;
constexpr double kLargestFixed = 1e15;  // digits after the point mean little beyond it
constexpr int kBufferSize = 64;         // sign, 16 digits, point, 12 decimals and room to spare

std::string shortest(double value) {
  char buffer[kBufferSize];
  const std::to_chars_result end = std::to_chars(buffer, buffer + kBufferSize, value);
  return std::string(buffer, end.ptr);
}

bool reads_zero(std::string_view text) {
  return text.find_first_not_of("-0.") == std::string_view::npos;
}

}  // namespace

std::string format_number(double value, int decimals) {
  if (std::isnan(value)) return "not a number";
  if (std::isinf(value)) return value > 0 ? "infinite" : "minus infinite";
  if (std::fabs(value) >= kLargestFixed) return shortest(value);
  char buffer[kBufferSize];
  const int digits = std::clamp(decimals, 0, kMostDecimals);
  const std::to_chars_result end =
      std::to_chars(buffer, buffer + kBufferSize, value, std::chars_format::fixed, digits);
  std::string text(buffer, end.ptr);
  if (text.front() == '-' && reads_zero(text)) text.erase(0, 1);
  return text;
}

std::string format_signed(double value, int decimals) {
  std::string text = format_number(value, decimals);
  return value > 0 && !reads_zero(text) ? concat("+", text) : text;
}

NumberPair format_apart(double value, double bound, int decimals) {
  for (int digits = std::max(decimals, 0); digits <= kMostDecimals; ++digits) {
    NumberPair pair{format_number(value, digits), format_number(bound, digits)};
    if (value == bound || pair.value != pair.bound) return pair;
  }
  return {shortest(value), shortest(bound)};
}

std::string format_share(double tolerance_used) {
  if (tolerance_used >= kNothingAllowed) return "none allowed";
  if (!(tolerance_used > 1)) return concat(format_number(100 * tolerance_used, 0), " %");
  // For a share one bit above 1 the product is still above 100: half an ulp there is less than 100 x 2^-52.
  return concat(format_apart(100 * tolerance_used, 100, 0).value, " %");
}

std::string with_unit(std::string_view number, std::string_view unit) {
  return unit.empty() || unit == "1" ? std::string(number) : concat(number, " ", unit);
}

std::string with_unit_of_change(std::string_view number, std::string_view unit) {
  return with_unit(number, unit == "%" ? "percentage points" : unit);
}

}  // namespace brakeward::verdict
