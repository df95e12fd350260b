#include "report/markdown_text.h"

#include "absl/strings/ascii.h"
#include "document/text.h"
#include "verdict/concat.h"

namespace brakeward::report {
namespace {

constexpr std::string_view kEllipsis = "\xe2\x80\xa6";
constexpr std::string_view kWordJoiner = "&#8288;";
// What begins a span, a tag, a reference, a link, an image, a formula or a cell.
constexpr std::string_view kActive = "\\`*[]<>&|~!#@$";
// Where a line begins, these begin a list, a rule or a heading too.
constexpr std::string_view kActiveInFront = "-+=";
// What a platform makes a mention, a reference, an emoji or a link of when a word follows.
constexpr std::string_view kBeforeWords = "@#!~$%&";

bool is_word(char c) {
  return absl::ascii_isalnum(static_cast<unsigned char>(c)) || static_cast<unsigned char>(c) >= 0x80;
}

std::string_view without_blanks_around(std::string_view text) {
  const size_t first = text.find_first_not_of(' ');
  if (first == std::string_view::npos) return "";
  return text.substr(first, text.find_last_not_of(' ') + 1 - first);
}

// Inside a word an underline begins no emphasis (CommonMark 6.2).
bool is_inside_word(std::string_view text, size_t i) {
  return i > 0 && i + 1 < text.size() && is_word(text[i - 1]) && is_word(text[i + 1]);
}

// "1." or "12)": where a line begins, an item of a list.
bool begins_with_item_number(std::string_view text) {
  const size_t end = text.find_first_not_of("0123456789");
  return end != std::string_view::npos && end > 0 && (text[end] == '.' || text[end] == ')') &&
         (end + 1 == text.size() || text[end + 1] == ' ');
}

bool is_active(std::string_view text, size_t i) {
  const char c = text[i];
  if (is_word(c)) return i == 0 && begins_with_item_number(text);
  if (i == 0 && kActiveInFront.find(c) != std::string_view::npos) return true;
  return kActive.find(c) != std::string_view::npos || (c == '_' && !is_inside_word(text, i));
}

bool needs_joiner(std::string_view text, size_t i) {
  const char next = i + 1 < text.size() ? text[i + 1] : ' ';
  if (next == ' ') return false;
  if (text[i] == ':') return !absl::ascii_isdigit(static_cast<unsigned char>(next));  // but "12:30"
  if (kBeforeWords.find(text[i]) != std::string_view::npos) return true;
  return next == '.' && i >= 2 && absl::AsciiStrToLower(std::string(text.substr(i - 2, 3))) == "www";
}

}  // namespace

std::string markdown(std::string_view text, size_t most_bytes) {
  const std::string cleaned = document::clean(text);
  const std::string_view line = without_blanks_around(cleaned);
  std::string result;
  size_t room_for_ellipsis = 0;  // where the text can be cut
  for (size_t i = 0; i < line.size();) {
    size_t end = i + 1;  // a code point stays whole
    while (end < line.size() && (static_cast<unsigned char>(line[end]) & 0xc0) == 0x80) ++end;
    if (is_active(line, i)) {
      verdict::append(result, "&#", static_cast<int>(line[i]), ";");
    } else {
      result += line.substr(i, end - i);
    }
    if (needs_joiner(line, i)) result += kWordJoiner;
    if (result.size() > most_bytes) return result.substr(0, room_for_ellipsis) + std::string(kEllipsis);
    if (result.size() + kEllipsis.size() <= most_bytes) room_for_ellipsis = result.size();
    i = end;
  }
  return result;
}

}  // namespace brakeward::report
