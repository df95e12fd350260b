#include "report/table.h"

#include <algorithm>

#include "report/text.h"
#include "verdict/concat.h"

namespace brakeward::report {

void Table::add(std::vector<std::string> cells) {
  for (size_t c = 0; c < columns_.size(); ++c) {
    const size_t width = width_of(cells[c]);
    if (width <= kWidestCell) widths_[c] = std::max(widths_[c], width);
  }
  rows_.push_back(std::move(cells));
}

std::string Table::line(size_t row) const {
  std::string out;
  for (size_t c = 0; c < columns_.size(); ++c) {
    const std::string& cell = rows_[row][c];
    const bool right = columns_[c].right_aligned;
    const bool unpadded = !right && c + 1 == columns_.size();
    const std::string padding(unpadded ? 0 : widths_[c] - std::min(widths_[c], width_of(cell)), ' ');
    if (c > 0) out += std::string(columns_[c].gap, ' ');
    verdict::append(out, right ? padding : "", cell, right ? "" : padding);
  }
  return out;
}

std::string Table::text() const {
  std::string out;
  for (size_t row = 0; row < rows_.size(); ++row) verdict::append(out, line(row), "\n");
  return out;
}

}  // namespace brakeward::report
