// Small text helpers on std::string_view.
#pragma once

#include <concepts>
#include <string>
#include <string_view>

namespace brakeward::recording {

inline void append_part(std::string& text, std::string_view part) {
  text += part;
}
template <std::integral Number>
void append_part(std::string& text, Number number) {
  text += std::to_string(number);
}

// Texts and whole numbers put together.
template <typename... Parts>
std::string joined(const Parts&... parts) {
  std::string text;
  (append_part(text, parts), ...);
  return text;
}

// ASCII only, so the same in every locale.
inline char lower_case(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

inline bool same_ignoring_case(std::string_view a, std::string_view b) {
  if (a.size() != b.size()) return false;
  for (size_t i = 0; i < a.size(); ++i) {
    if (lower_case(a[i]) != lower_case(b[i])) return false;
  }
  return true;
}

}  // namespace brakeward::recording
