// The samples of a log as the file has them, in the units of its columns.
#pragma once

#include <cstddef>
#include <cstdint>
#include <limits>
#include <vector>

#include "recording/cells.h"
#include "recording/columns.h"
#include "recording/findings.h"

namespace brakeward::recording {

// A cell that holds no value.
inline constexpr double kMissing = std::numeric_limits<double>::quiet_NaN();
// A cell whose fault was told already; later checks pass over it.
inline constexpr double kFaulty = std::numeric_limits<double>::infinity();

struct Rows {
  std::vector<double> time;
  std::vector<uint32_t> line;
  std::vector<std::vector<double>> values;  // one for each mapped channel
};

// Reads all lines after the header.
Rows read_rows(Lines& lines, const Columns& columns, Findings& findings);

}  // namespace brakeward::recording
