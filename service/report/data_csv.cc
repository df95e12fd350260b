#include <charconv>

#include "document/text.h"
#include "report/data.h"

namespace brakeward::report {
namespace {

void put(std::string& out, const std::optional<double>& x) {
  char text[32];
  if (x) out.append(text, std::to_chars(text, text + sizeof text, *x).ptr);
}

// A reader may drop blanks before it looks for a formula.
bool is_formula(std::string_view text) {
  const size_t first = text.find_first_not_of(' ');
  return first != text.npos && std::string_view("=+-@").find(text[first]) != text.npos;
}

void put(std::string& out, const std::string& text) {
  std::string cell = document::clean(text);
  if (is_formula(cell)) cell.insert(0, "'");
  if (cell.find_first_of(",\"") == cell.npos) {
    out += cell;
    return;
  }
  out += '"';
  for (const char c : cell) out.append(c == '"' ? 2 : 1, c);
  out += '"';
}

size_t rows_of(const DataColumn& column) {
  return std::visit([](const auto& cells) { return cells.size(); }, column.cells);
}

}  // namespace

std::string render_csv(const Data& data) {
  std::string out;
  const auto separate = [&](size_t c) { out += c + 1 == data.columns.size() ? '\n' : ','; };
  for (size_t c = 0; c < data.columns.size(); ++c) {
    const DataColumn& column = data.columns[c];
    put(out, column.unit.empty() ? column.name : column.name + " (" + column.unit + ")");
    separate(c);
  }
  const size_t rows = data.columns.empty() ? 0 : rows_of(data.columns.front());
  for (size_t row = 0; row < rows; ++row)
    for (size_t c = 0; c < data.columns.size(); ++c) {
      std::visit([&](const auto& cells) { put(out, cells[row]); }, data.columns[c].cells);
      separate(c);
    }
  return out;
}

}  // namespace brakeward::report
