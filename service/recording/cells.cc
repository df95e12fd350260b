#include "recording/cells.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstring>

#include "recording/text.h"

namespace brakeward::recording {
namespace {

bool blank(char c) {
  return c == ' ' || c == '\t';
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && blank(text.back())) text.remove_suffix(1);
  return text;
}

// Length of the quoted cell at the start of `text`, quotes included; 0 when it is not closed.
size_t quoted_length(std::string_view text) {
  size_t i = 1;
  while (i < text.size()) {
    if (text[i] != '"') {
      ++i;
    } else if (i + 1 < text.size() && text[i + 1] == '"') {
      i += 2;
    } else {
      return i + 1;
    }
  }
  return 0;
}

bool split_quoted(std::string_view line, char delimiter, std::vector<std::string_view>& cells) {
  size_t at = 0;
  while (true) {
    size_t start = at;
    while (start < line.size() && line[start] != delimiter && blank(line[start])) ++start;
    if (start < line.size() && line[start] == '"') {
      const size_t length = quoted_length(line.substr(start));
      if (length == 0) return false;
      cells.push_back(trimmed(line.substr(start + 1, length - 2)));
      at = start + length;
      while (at < line.size() && line[at] != delimiter && blank(line[at])) ++at;
      if (at < line.size() && line[at] != delimiter) return false;
    } else {
      at = std::min(line.find(delimiter, start), line.size());
      cells.push_back(trimmed(line.substr(start, at - start)));
    }
    if (at >= line.size()) return true;
    ++at;
  }
}

bool is_missing(std::string_view cell) {
  if (cell.empty()) return true;
  for (std::string_view word : {"nan", "n/a", "na", "null", "none", "-"}) {
    if (same_ignoring_case(cell, word)) return true;
  }
  return false;
}

bool is_infinite(std::string_view cell) {
  if (cell.front() == '-' || cell.front() == '+') cell.remove_prefix(1);
  return same_ignoring_case(cell, "inf") || same_ignoring_case(cell, "infinity");
}

// A number that fills the text, or kText, or kTooLarge.
Cell read_plain(std::string_view text) {
  Cell cell;
  if (text.size() > 1 && text.front() == '+' && text[1] != '-') text.remove_prefix(1);
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), cell.value);
  if (end != text.data() + text.size()) return cell;
  if (error == std::errc::result_out_of_range) {
    cell.kind = CellKind::kTooLarge;
  } else if (error == std::errc() && std::isfinite(cell.value)) {
    cell.kind = CellKind::kNumber;
  }
  return cell;
}

// The same with its only comma read as a decimal point.
Cell read_with_comma(std::string_view text) {
  const size_t comma = text.find(',');
  char copy[64];
  if (comma == std::string_view::npos || text.size() > sizeof copy) return {};
  if (text.substr(comma + 1).find(',') != std::string_view::npos) return {};
  std::memcpy(copy, text.data(), text.size());
  copy[comma] = '.';
  Cell cell = read_plain(std::string_view(copy, text.size()));
  cell.decimal_comma = cell.kind == CellKind::kNumber;
  return cell;
}

}  // namespace

bool Lines::next(std::string_view& line) {
  if (rest_.empty()) return false;
  const size_t end = rest_.find('\n');
  line = rest_.substr(0, end);
  rest_.remove_prefix(end == std::string_view::npos ? rest_.size() : end + 1);
  if (!line.empty() && line.back() == '\r') {
    line.remove_suffix(1);
    ++crlf_;
  }
  ++number_;
  return true;
}

bool split_cells(std::string_view line, char delimiter, std::vector<std::string_view>& cells) {
  cells.clear();
  if (line.find('"') != std::string_view::npos) return split_quoted(line, delimiter, cells);
  size_t start = 0;
  for (size_t i = 0; i < line.size(); ++i) {
    if (line[i] != delimiter) continue;
    cells.push_back(trimmed(line.substr(start, i - start)));
    start = i + 1;
  }
  cells.push_back(trimmed(line.substr(start)));
  return true;
}

std::string column_name(std::string_view cell) {
  std::string name;
  for (size_t i = 0; i < cell.size(); ++i) {
    name += cell[i];
    if (cell[i] == '"' && i + 1 < cell.size() && cell[i + 1] == '"') ++i;
  }
  return name;
}

Cell read_cell(std::string_view text, bool comma) {
  Cell cell = read_plain(text);
  if (cell.kind == CellKind::kNumber) {
    cell.decimal_point = text.find('.') != std::string_view::npos;
  } else if (is_missing(text)) {
    cell.kind = CellKind::kMissing;
  } else if (is_infinite(text)) {
    cell.kind = CellKind::kInfinite;
  } else if (comma && cell.kind == CellKind::kText) {
    cell = read_with_comma(text);
  }
  return cell;
}

}  // namespace brakeward::recording
