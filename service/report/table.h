// Text in aligned columns.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace brakeward::report {

// A column is as wide as its widest cell of at most this many code points; a longer cell pushes its own row
// aside, not every row.
inline constexpr size_t kWidestCell = 64;

struct Column {
  bool right_aligned = false;
  size_t gap = 2;  // blanks before it, but for the first
};

// The last column is not padded when left-aligned, so that its cells may hold what takes no width. Cells are
// fit to print (document::clean).
class Table {
 public:
  explicit Table(std::vector<Column> columns) : columns_(std::move(columns)), widths_(columns_.size()) {}

  // As many cells as columns.
  void add(std::vector<std::string> cells);
  // Without a line end.
  std::string line(size_t row) const;
  // All rows, each a line.
  std::string text() const;

 private:
  std::vector<Column> columns_;
  std::vector<size_t> widths_;
  std::vector<std::vector<std::string>> rows_;
};

}  // namespace brakeward::report
