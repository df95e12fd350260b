// Lines of a text report.
#pragma once

#include <cstdarg>
#include <cstdio>
#include <string>

namespace brakeward::gate {

// Appends a line, formatted as printf does, without blanks at its end.
[[gnu::format(printf, 2, 3)]] inline void put_line(std::string& out, const char* format, ...) {
  va_list to_measure, to_write;
  va_start(to_measure, format);
  va_copy(to_write, to_measure);
  const int length = std::vsnprintf(nullptr, 0, format, to_measure);
  va_end(to_measure);
  std::string line(length > 0 ? static_cast<size_t>(length) : 0, '\0');
  std::vsnprintf(line.data(), line.size() + 1, format, to_write);
  va_end(to_write);
  while (!line.empty() && line.back() == ' ') line.pop_back();
  out += line + '\n';
}

}  // namespace brakeward::gate
