#include "recording/findings.h"

#include <algorithm>
#include <charconv>

#include "absl/strings/str_format.h"

namespace brakeward::recording {
namespace {

// Length of the well-formed UTF-8 sequence of two bytes or more at the start of the text, else 0 (RFC 3629,
// section 4).
size_t utf8_length(std::string_view text) {
  const auto byte = [text](size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char lead = byte(0);
  const size_t length = lead < 0xC2 ? 0 : lead < 0xE0 ? 2 : lead < 0xF0 ? 3 : lead < 0xF5 ? 4 : 0;
  if (length == 0 || text.size() < length) return 0;
  for (size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xC0) != 0x80) return 0;
  }
  const unsigned char second = byte(1);
  const bool too_short = (lead == 0xE0 && second < 0xA0) || (lead == 0xF0 && second < 0x90);
  const bool no_character = (lead == 0xED && second > 0x9F) || (lead == 0xF4 && second > 0x8F);
  return too_short || no_character ? 0 : length;
}

// Bytes that cannot be shown become "\xNN".
std::string printable(std::string_view text) {
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string shown;
  while (!text.empty()) {
    const unsigned char byte = static_cast<unsigned char>(text.front());
    const size_t length = byte >= 0x20 && byte < 0x7F ? 1 : utf8_length(text);
    if (length == 0) {
      shown += "\\x";
      shown += kDigits[byte >> 4];
      shown += kDigits[byte & 15];
    } else {
      shown += text.substr(0, length);
    }
    text.remove_prefix(std::max<size_t>(1, length));
  }
  return shown;
}

}  // namespace

absl::Status Findings::status() const {
  if (sound()) return absl::OkStatus();
  std::string text;
  for (const std::string& fault : texts_) text += joined(text.empty() ? "" : "\n", fault);
  if (count_ > kListed) text += joined("\n", file_, ": and ", count_ - kListed, " more");
  return absl::InvalidArgumentError(text);
}

std::string in_quotes(std::string_view piece) {
  constexpr size_t kLongest = 40;
  const bool cut = piece.size() > kLongest;
  return joined("'", printable(piece.substr(0, kLongest)), cut ? "...'" : "'");
}

std::string short_number(double x) {
  return absl::StrFormat("%.6g", x == 0 ? 0.0 : x);
}

std::string exact_number(double x) {
  char text[32];
  const auto result = std::to_chars(text, text + sizeof text, x);
  return std::string(text, result.ptr);
}

std::string milliseconds(double s) {
  return joined(short_number(s * 1000), " ms");
}

std::string counted(size_t n, std::string_view singular) {
  return joined(n, " ", singular, n == 1 ? "" : "s");
}

std::string place(size_t line, std::string_view column, size_t column_number) {
  return joined("line ", line, ", column ", in_quotes(column), " (", column_number, ")");
}

}  // namespace brakeward::recording
