// Sentences put together from pieces: any mix of text and whole numbers. (The absl of Debian 12 was built
// without std::string_view and does not take one.)
#pragma once

#include <concepts>
#include <string>
#include <string_view>

namespace brakeward::verdict {

inline void append_piece(std::string& text, std::string_view piece) {
  text.append(piece);
}
inline void append_piece(std::string& text, std::integral auto number) {
  text.append(std::to_string(number));
}

// Appends the pieces in order.
template <typename... Pieces>
void append(std::string& text, const Pieces&... pieces) {
  (append_piece(text, pieces), ...);
}

// The pieces in one string.
template <typename... Pieces>
std::string concat(const Pieces&... pieces) {
  std::string text;
  append(text, pieces...);
  return text;
}

}  // namespace brakeward::verdict
