// Lines, cells and numbers of a delimited text. Cells may stand in double quotes as RFC 4180 has it; line
// breaks inside quotes are not read.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace brakeward::recording {

// Walks a text line by line; accepts LF and CRLF.
class Lines {
 public:
  explicit Lines(std::string_view text) : rest_(text) {}

  // The next line without its line end; false at the end.
  bool next(std::string_view& line);

  size_t number() const { return number_; }          // of the line given last, from 1
  size_t carriage_returns() const { return crlf_; }  // lines that ended in CRLF

 private:
  std::string_view rest_;
  size_t number_ = 0;
  size_t crlf_ = 0;
};

// Splits a line; cells come without surrounding blanks and quotes. False when a quoted cell is not closed or
// followed by text.
bool split_cells(std::string_view line, char delimiter, std::vector<std::string_view>& cells);

// A header as it is compared: doubled quotes made single.
std::string column_name(std::string_view cell);

enum class CellKind {
  kNumber,
  kMissing,   // empty, or a word for "no value": nan, n/a, na, null, none, -
  kInfinite,  // inf, infinity, with or without sign
  kTooLarge,  // a number that a double cannot hold
  kText,
};

struct Cell {
  CellKind kind = CellKind::kText;
  double value = 0;
  bool decimal_comma = false;
  bool decimal_point = false;
};

// Reads a number the same way in every locale. With `comma`, one comma without a point is a decimal comma.
Cell read_cell(std::string_view cell, bool comma);

}  // namespace brakeward::recording
