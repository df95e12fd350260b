#include "report/html_text.h"

#include "document/text.h"

namespace brakeward::report {
namespace {

// At most so many bytes, no code point halved.
std::string cut(std::string text, size_t most_bytes) {
  if (text.size() <= most_bytes) return text;
  size_t end = most_bytes;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xc0) == 0x80) --end;
  return text.substr(0, end) + "\xe2\x80\xa6";
}

}  // namespace

std::string html(std::string_view text, size_t most_bytes) {
  std::string out;
  for (const char c : cut(document::clean(text), most_bytes)) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

std::string script_data(std::string_view json) {
  std::string out;
  for (const char c : json) {
    if (c == '<')
      out += "\\u003c";
    else
      out += c;
  }
  return out;
}

}  // namespace brakeward::report
