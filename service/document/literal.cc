// Values as written, held against the type of their field.
#include <algorithm>
#include <limits>

#include "absl/strings/ascii.h"
#include "absl/strings/match.h"
#include "absl/strings/numbers.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "document/diagnose.h"
#include "document/schema.h"

namespace brakeward::document {

using google::protobuf::FieldDescriptor;

namespace {

absl::string_view view(std::string_view text) {
  return {text.data(), text.size()};
}

std::string number_wanted(const FieldDescriptor* field) {
  const v1::Quantity* quantity = quantity_of(field);
  return quantity == nullptr ? "a number" : "a number from " + range_text(*quantity);
}

// Digits of a scalar without its sign and the blanks after it.
std::string_view magnitude_of(std::string_view text) {
  if (!text.empty() && text[0] == '-') text.remove_prefix(1);
  const absl::string_view stripped = absl::StripLeadingAsciiWhitespace(view(text));
  return {stripped.data(), stripped.size()};
}

bool is_number(std::string_view text) {
  return !text.empty() && (absl::ascii_isdigit(static_cast<unsigned char>(text[0])) || text[0] == '.');
}

std::string real_fault(const FieldDescriptor* field, std::string_view text) {
  const std::string_view digits = magnitude_of(text);
  const std::string lower = absl::AsciiStrToLower(view(digits));
  // These are read, and refused as not finite by check().
  if (lower == "inf" || lower == "infinity" || lower == "nan") return "";
  if (!is_number(digits))
    return absl::StrCat(excerpt(text), " is no number; give ", number_wanted(field), ".");
  const bool leading_zero =
      digits.size() > 1 && digits[0] == '0' && digits.find_first_not_of("0123456789") == std::string::npos;
  if (leading_zero || lower.find('x') != std::string::npos) {
    return absl::StrCat(excerpt(text), " is not a decimal number; give ", number_wanted(field),
                        ", without leading zero or 0x.");
  }
  double value = 0;
  const std::string plain = absl::EndsWith(lower, "f") ? lower.substr(0, lower.size() - 1) : lower;
  if (!absl::SimpleAtod(plain, &value)) {
    return absl::StrCat(excerpt(text), " is no number; give ", number_wanted(field), ".");
  }
  return "";
}

std::string whole_fault(const FieldDescriptor* field, std::string_view text, bool is_json) {
  const std::string_view digits = magnitude_of(text);
  if (!is_number(digits))
    return absl::StrCat(excerpt(text), " is no number; give ", number_wanted(field), ".");
  const std::string lower = absl::AsciiStrToLower(view(digits));
  const bool is_hex = lower.compare(0, 2, "0x") == 0;
  if (!is_hex && lower.find_first_of(".ef") != std::string::npos) {
    // JSON takes 3.0 for 3; its parser has the last word.
    if (is_json) return "";
    return absl::StrCat(excerpt(text), " is not a whole number; give ", number_wanted(field),
                        " without decimals.");
  }
  const bool fits = is_hex || digits.size() <= 10;
  const bool is_long = field->cpp_type() == FieldDescriptor::CPPTYPE_INT64 ||
                       field->cpp_type() == FieldDescriptor::CPPTYPE_UINT64;
  uint64_t value = 0;
  const bool read = absl::SimpleAtoi(lower, &value);
  const uint64_t limit = uint64_t{std::numeric_limits<int32_t>::max()} + (text[0] == '-' ? 1 : 0);
  if (!is_hex && !is_long && (!fits || !read || value > limit)) {
    return absl::StrCat(excerpt(text), " is too large for a whole number here; give ", number_wanted(field),
                        ".");
  }
  return "";
}

std::string truth_fault(std::string_view text) {
  for (const char* word : {"true", "false", "True", "False", "t", "f", "0", "1"}) {
    if (text == word) return "";
  }
  return excerpt(text) + " is neither true nor false; write one of them.";
}

std::string word_fault(const FieldDescriptor* field, std::string_view text, bool is_json) {
  std::string word(text);
  if (is_json && !unquote(text, &word)) word = std::string(text);
  const auto* type = field->enum_type();
  // Numbers are read, and unknown ones refused by check().
  if (type->FindValueByName(word) != nullptr || is_number(magnitude_of(word))) return "";
  const std::vector<std::string> words = enum_words(type);
  const std::string near = nearest_word(absl::AsciiStrToUpper(word), words);
  return absl::StrCat(excerpt(text), " is no word of ", type->name(), "; ",
                      near.empty() ? "" : "did you mean " + near + "? ", "Choose one of ",
                      absl::StrJoin(words, ", "), ".");
}

std::string scalar_fault(const FieldDescriptor* field, const Value& value, bool is_json) {
  std::string text(value.text);
  const bool is_quoted = value.kind == Value::Kind::kString;
  if (value.is_open) return excerpt(text) + " opens a quote that is not closed on its line; close it.";
  if (is_json && text == "null") return "";
  if (field->cpp_type() == FieldDescriptor::CPPTYPE_STRING) {
    return is_quoted ? "" : excerpt(text) + " is text and goes in quotes: \"" + excerpt(text) + "\".";
  }
  if (is_quoted && !is_json) {
    return absl::StrCat(excerpt(text), " is in quotes, but the field takes ",
                        field->enum_type() != nullptr ? "a word"
                        : is_numeric(field)           ? number_wanted(field)
                                                      : "true or false",
                        "; write it without quotes.");
  }
  if (field->enum_type() != nullptr) return word_fault(field, text, is_json);
  if (is_quoted && !unquote(value.text, &text)) return "";
  if (field->cpp_type() == FieldDescriptor::CPPTYPE_BOOL) return truth_fault(text);
  if (text.empty()) return "the number is empty; give " + number_wanted(field) + ".";
  const bool is_real = field->cpp_type() == FieldDescriptor::CPPTYPE_DOUBLE ||
                       field->cpp_type() == FieldDescriptor::CPPTYPE_FLOAT;
  return is_real ? real_fault(field, text) : whole_fault(field, text, is_json);
}

}  // namespace

std::string excerpt(std::string_view text) {
  constexpr size_t kLongest = 40;
  // Not in the middle of a character.
  size_t size = std::min(text.size(), kLongest);
  while (size < text.size() && size > 0 && (static_cast<unsigned char>(text[size]) & 0xC0) == 0x80) --size;
  std::string out(text.substr(0, size));
  for (char& c : out) {
    const unsigned char byte = static_cast<unsigned char>(c);
    if (byte < 0x20 || byte == 0x7F) c = ' ';
  }
  return size < text.size() ? out + "..." : out;
}

std::string literal_fault(const FieldDescriptor* field, const Value& value, bool is_json) {
  const bool wants_block = field->message_type() != nullptr;
  if (value.kind == Value::Kind::kNone) {
    if (wants_block) return absl::StrCat("has no block; write ", field->name(), " { ... }.");
    return "has no value; " + (is_numeric(field) ? "give " + number_wanted(field) : std::string("give one")) +
           ".";
  }
  if (value.kind == Value::Kind::kList) {
    if (!field->is_repeated()) return "takes one value, not a list in square brackets.";
    for (const Value& item : value.items) {
      std::string fault = literal_fault(field, item, is_json);
      if (!fault.empty()) return fault;
    }
    return "";
  }
  if (wants_block != (value.kind == Value::Kind::kBlock)) {
    if (is_json && value.text == "null") return "";
    if (!wants_block) return "takes a single value, not a block in braces.";
    return absl::StrCat("is a block of fields (", field->message_type()->name(), "), not the value ",
                        excerpt(value.text), "; write ", field->name(), " { ... }.");
  }
  return wants_block ? "" : scalar_fault(field, value, is_json);
}

}  // namespace brakeward::document
