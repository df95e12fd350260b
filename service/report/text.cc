#include "report/text.h"

#include <algorithm>
#include <cstdint>

namespace brakeward::report {

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
