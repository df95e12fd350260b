#include "metrics/text.h"

#include <prometheus/text_serializer.h>

#include <algorithm>

namespace brakeward::metrics {
namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";  // U+FFFD

// Length of the well-formed sequence at the start of the text, or 0 (Unicode 15, table 3-7).
size_t sequence_length(std::string_view text) {
  const auto byte = [&](size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char first = byte(0);
  if (first < 0x80) return 1;
  if (first < 0xC2 || first > 0xF4) return 0;
  const size_t length = first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
  if (text.size() < length) return 0;
  // The second byte of some first bytes is narrowed: no overlong forms, no surrogates, nothing past U+10FFFF.
  const unsigned char least = first == 0xE0 ? 0xA0 : first == 0xF0 ? 0x90 : 0x80;
  const unsigned char most = first == 0xED ? 0x9F : first == 0xF4 ? 0x8F : 0xBF;
  if (byte(1) < least || byte(1) > most) return 0;
  for (size_t i = 2; i < length; ++i) {
    if (byte(i) < 0x80 || byte(i) > 0xBF) return 0;
  }
  return length;
}

bool is_control(char c) {
  return (c >= 0 && c < 0x20 && c != '\t' && c != '\n') || c == 0x7F;
}

}  // namespace

std::string clean_label(std::string_view text) {
  std::string clean;
  while (!text.empty()) {
    const size_t length = sequence_length(text);
    if (length == 0 || (length == 1 && is_control(text[0]))) {
      clean += kReplacement;
    } else {
      clean += text.substr(0, length);
    }
    text.remove_prefix(std::max<size_t>(length, 1));
  }
  return clean;
}

void sort(std::vector<prometheus::MetricFamily>& families) {
  const auto by_name = [](const auto& a, const auto& b) { return a.name < b.name; };
  const auto by_labels = [](const auto& a, const auto& b) { return a.label < b.label; };
  std::sort(families.begin(), families.end(), by_name);
  for (prometheus::MetricFamily& family : families) {
    std::sort(family.metric.begin(), family.metric.end(), by_labels);
  }
}

std::string to_text(const std::vector<prometheus::MetricFamily>& families) {
  return prometheus::TextSerializer().Serialize(families);
}

}  // namespace brakeward::metrics
