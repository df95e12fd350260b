#include "document/text.h"

#include <algorithm>
#include <cstdint>

namespace brakeward::document {
namespace {

constexpr std::string_view kReplacement = "\xef\xbf\xbd";  // U+FFFD

// Of a well-formed sequence.
uint32_t code_point(std::string_view sequence) {
  const auto byte = [&](size_t i) { return static_cast<uint8_t>(sequence[i]); };
  if (sequence.size() == 1) return byte(0);
  uint32_t value = byte(0) & (0xffu >> (sequence.size() + 1));
  for (size_t i = 1; i < sequence.size(); ++i) value = value << 6 | (byte(i) & 0x3fu);
  return value;
}

// Marks, embeddings, overrides and isolates of writing direction (Unicode UAX 9): they can make a line read
// in another order than it is written.
bool turns_text(uint32_t c) {
  return c == 0x061c || c == 0x200e || c == 0x200f || (c >= 0x202a && c <= 0x202e) ||
         (c >= 0x2066 && c <= 0x2069);
}

bool is_printable(uint32_t c) {
  const bool control = c < 0x20 || (c >= 0x7f && c < 0xa0);
  const bool separator = c == 0x2028 || c == 0x2029;
  return !control && !separator && !turns_text(c) && c != 0xfffe && c != 0xffff;
}

}  // namespace

size_t utf8_length(std::string_view text) {
  const auto at = [text](size_t i) { return static_cast<uint8_t>(text[i]); };
  const uint8_t lead = at(0);
  if (lead < 0x80) return 1;
  const size_t length = lead >= 0xf0 ? 4 : lead >= 0xe0 ? 3 : 2;
  if (lead < 0xc2 || lead > 0xf4 || text.size() < length) return 0;
  for (size_t i = 1; i < length; ++i) {
    if ((at(i) & 0xc0) != 0x80) return 0;
  }
  const bool overlong = (lead == 0xe0 && at(1) < 0xa0) || (lead == 0xf0 && at(1) < 0x90);
  const bool outside = (lead == 0xed && at(1) > 0x9f) || (lead == 0xf4 && at(1) > 0x8f);
  return overlong || outside ? 0 : length;
}

bool is_utf8(std::string_view bytes, size_t* bad_at) {
  for (size_t at = 0; at < bytes.size();) {
    const size_t length = utf8_length(bytes.substr(at));
    if (length == 0) {
      *bad_at = at;
      return false;
    }
    at += length;
  }
  return true;
}

std::string clean(std::string_view text, bool keep_space) {
  std::string result;
  result.reserve(text.size());
  while (!text.empty()) {
    const size_t length = utf8_length(text);
    const std::string_view sequence = text.substr(0, std::max<size_t>(length, 1));
    const bool space = text[0] == '\t' || text[0] == '\n' || text[0] == '\r';
    if ((length > 0 && is_printable(code_point(sequence))) || (space && keep_space)) {
      result.append(sequence);
    } else {
      result.append(space ? std::string_view(" ") : kReplacement);
    }
    text.remove_prefix(sequence.size());
  }
  return result;
}

}  // namespace brakeward::document
