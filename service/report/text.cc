#include "report/text.h"

#include <algorithm>
#include <cstdint>

namespace brakeward::report {
namespace {

constexpr std::string_view kReplacement = "\xef\xbf\xbd";  // U+FFFD

// One code point at the front of the text and how many bytes it takes; invalid input takes one byte.
struct CodePoint {
  uint32_t value;
  size_t bytes;
  bool valid;
};

CodePoint decode(std::string_view text) {
  const auto byte = [&](size_t i) { return static_cast<uint8_t>(text[i]); };
  const uint8_t first = byte(0);
  if (first < 0x80) return {first, 1, true};
  const size_t length = first >= 0xf0 && first <= 0xf4 ? 4 : first >= 0xe0 ? 3 : first >= 0xc2 ? 2 : 0;
  if (length == 0 || first > 0xf4 || text.size() < length) return {0, 1, false};
  uint32_t value = first & (0xffu >> (length + 1));
  for (size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xc0) != 0x80) return {0, 1, false};
    value = value << 6 | (byte(i) & 0x3fu);
  }
  const bool overlong = (length == 3 && value < 0x800) || (length == 4 && value < 0x10000);
  const bool surrogate = value >= 0xd800 && value <= 0xdfff;
  if (overlong || surrogate || value > 0x10ffff) return {0, 1, false};
  return {value, length, true};
}

// Marks, embeddings, overrides and isolates of writing direction (Unicode UAX 9): they can make a line read
// in another order than it is written.
bool turns_text(uint32_t c) {
  return c == 0x061c || c == 0x200e || c == 0x200f || (c >= 0x202a && c <= 0x202e) ||
         (c >= 0x2066 && c <= 0x2069);
}

bool is_printable(const CodePoint& c) {
  const bool control = c.value < 0x20 || (c.value >= 0x7f && c.value < 0xa0);
  const bool separator = c.value == 0x2028 || c.value == 0x2029;
  return c.valid && !control && !separator && !turns_text(c.value) && c.value != 0xfffe && c.value != 0xffff;
}

}  // namespace

std::string clean(std::string_view text, bool keep_space) {
  std::string result;
  result.reserve(text.size());
  while (!text.empty()) {
    const CodePoint c = decode(text);
    const bool space = c.valid && (c.value == '\t' || c.value == '\n' || c.value == '\r');
    if (is_printable(c) || (space && keep_space)) {
      result.append(text.substr(0, c.bytes));
    } else {
      result.append(space ? std::string_view(" ") : kReplacement);
    }
    text.remove_prefix(c.bytes);
  }
  return result;
}

size_t width_of(std::string_view text) {
  return static_cast<size_t>(std::count_if(text.begin(), text.end(),
                                           [](char c) { return (static_cast<uint8_t>(c) & 0xc0) != 0x80; }));
}

std::vector<std::string> wrap(std::string_view text, size_t width) {
  std::vector<std::string> lines;
  std::string line;
  while (!text.empty()) {
    const size_t end = std::min(text.find(' '), text.size());
    const std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (word.empty()) continue;
    if (!line.empty() && width_of(line) + 1 + width_of(word) > width) {
      lines.push_back(line);
      line.clear();
    }
    if (!line.empty()) line += ' ';
    line += word;
  }
  if (!line.empty()) lines.push_back(line);
  return lines;
}

}  // namespace brakeward::report
