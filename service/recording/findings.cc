#include "recording/findings.h"

#include <algorithm>
#include <charconv>

#include "absl/strings/str_format.h"
#include "document/text.h"

namespace brakeward::recording {
namespace {

// Bytes that cannot be shown become "\xNN".
std::string printable(std::string_view text) {
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string shown;
  while (!text.empty()) {
    const unsigned char byte = static_cast<unsigned char>(text.front());
    const size_t length = byte < 0x20 || byte == 0x7F ? 0 : document::utf8_length(text);
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
