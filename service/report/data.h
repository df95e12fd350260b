// What is exported: columns with units, and what they belong to.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace brakeward::report {

using Numbers = std::vector<std::optional<double>>;  // empty: nothing was recorded or applies
using Texts = std::vector<std::string>;

struct DataColumn {
  std::string name;
  std::string unit;     // empty where the column has none of its own
  std::string meaning;  // sentence
  std::variant<Numbers, Texts> cells;
};

// All columns have as many cells.
struct Data {
  std::vector<std::pair<std::string, std::string>> about;  // key, value
  std::vector<DataColumn> columns;
};

// RFC 4180 but for the line ends: a header of names, "name (unit)" where there is one, then one LF-ended line
// a row. Shortest numbers that read back to the same bits; an empty cell where there is none. `about` is left
// out. Text is cleaned (document::clean), quoted where it has to be, and a text that a spreadsheet would take
// for a formula (=, +, - or @ as its first character after blanks) begins with an apostrophe.
std::string render_csv(const Data& data);

// An HDF5 file: a one-dimensional dataset a column, named after it, of doubles (NaN where there is none) or
// of UTF-8 texts, with the attributes `unit` and `meaning` where it has them; `about` as attributes of the
// root group. The same data give the same bytes.
std::string render_hdf5(const Data& data);

}  // namespace brakeward::report
