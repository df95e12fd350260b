// One measure as the cells of a table, the same in every view.
#pragma once

#include <string>
#include <string_view>

#include "verdict/run.h"

namespace brakeward::report {

// Numbers by verdict/number.h with the measure's decimals; "-" where there is nothing to show. `value` is
// "never" for a measure that fails because its event never came. A change beyond its tolerance and the
// allowed change read differently, whatever digits that takes. `used` is "limit" where a measure fails for
// another reason than its tolerance.
struct MeasureCells {
  std::string value = "-";
  std::string baseline = "-";
  std::string change = "-";
  std::string allowed = "-";
  std::string used = "-";
  std::string_view unit;  // of value and baseline; empty when there is none or nothing to measure in it
};

MeasureCells cells_of(const verdict::MeasureResult& measure);

}  // namespace brakeward::report
