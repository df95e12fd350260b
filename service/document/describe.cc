#include "document/describe.h"

#include <map>

#include "absl/strings/ascii.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "absl/strings/str_split.h"
#include "document/address.h"
#include "document/schema.h"

namespace brakeward::document {

using google::protobuf::Descriptor;
using google::protobuf::FieldDescriptor;

namespace {

constexpr size_t kWidth = 110;
constexpr size_t kAddressWidth = 52;
constexpr size_t kUnitWidth = 17;
constexpr size_t kRangeWidth = 22;

// Pads to the width; a longer text keeps two blanks to the next column.
std::string padded(const std::string& text, size_t width) {
  const size_t blanks = text.size() + 2 > width ? 2 : width - text.size();
  return text + std::string(blanks, ' ');
}

std::string wrapped(const std::string& text, size_t indent) {
  std::string out;
  std::string line(indent, ' ');
  for (const absl::string_view word : absl::StrSplit(text, ' ', absl::SkipEmpty())) {
    if (line.size() > indent && line.size() + 1 + word.size() > kWidth) {
      out += line + "\n";
      line = std::string(indent, ' ');
    }
    if (line.size() > indent) line += ' ';
    absl::StrAppend(&line, word);
  }
  return out + line + "\n";
}

class Table {
 public:
  void type(const Descriptor* type, const std::string& at) {
    for (int i = 0; i < type->field_count(); ++i) {
      const FieldDescriptor* field = type->field(i);
      row(field, join_address(at, field->name()) + (field->is_repeated() ? "[]" : ""));
    }
  }

  void line(const std::string& address, const std::string& unit, const std::string& range,
            const std::string& rest) {
    const std::string text =
        padded(address, kAddressWidth) + padded(unit, kUnitWidth) + padded(range, kRangeWidth) + rest;
    absl::StrAppend(&out_, absl::StripTrailingAsciiWhitespace(text), "\n");
  }

  std::string take() { return std::move(out_); }

 private:
  void row(const FieldDescriptor* field, const std::string& address) {
    if (const v1::Quantity* quantity = quantity_of(field)) {
      number(*quantity, address);
    } else if (const v1::CurveAxes* axes = curve_of(field)) {
      curve(field, *axes, address);
    } else if (field->message_type() != nullptr) {
      block(field, address);
    } else {
      other(field, address);
    }
  }

  static std::string range(const v1::Quantity& quantity) {
    return format_number(quantity.minimum()) + " to " + format_number(quantity.maximum());
  }

  void meaning(const std::string& text) { out_ += wrapped(text, 4); }

  void number(const v1::Quantity& quantity, const std::string& address) {
    std::string fallback = quantity.may_be_unset() ? "may be unset" : "required";
    if (quantity.has_default_value()) fallback = "default " + format_number(quantity.default_value());
    line(address, quantity.unit(), range(quantity), fallback);
    const std::string typical =
        quantity.has_typical() ? " Typically " + with_unit(quantity.typical(), quantity.unit()) + "." : "";
    meaning(quantity.meaning() + typical);
  }

  void curve(const FieldDescriptor* field, const v1::CurveAxes& axes, const std::string& address) {
    std::string order;
    if (axes.monotonicity() == v1::MONOTONICITY_NON_DECREASING) order = " y must not fall.";
    if (axes.monotonicity() == v1::MONOTONICITY_NON_INCREASING) order = " y must not rise.";
    line(address, "curve", "1 to 16 points", is_required(field) ? "required" : "optional");
    line(address + ".points[].x", axes.x().unit(), range(axes.x()), "rising");
    line(address + ".points[].y", axes.y().unit(), range(axes.y()), "");
    meaning(axes.meaning() + order);
  }

  void block(const FieldDescriptor* field, const std::string& address) {
    const Descriptor* inner = field->message_type();
    const std::string choice =
        field->real_containing_oneof() == nullptr ? "" : "one of " + field->real_containing_oneof()->name();
    line(address, field->is_repeated() ? "list of blocks" : "block", inner->name(),
         !choice.empty()      ? choice
         : is_required(field) ? "required"
                              : "optional");
    const auto [first, is_new] = first_.emplace(inner, address);
    meaning(meaning_of(field) + (is_new ? "" : " Fields as in " + first->second + "."));
    if (is_new) type(inner, address);
  }

  void other(const FieldDescriptor* field, const std::string& address) {
    const char* kind = field->enum_type() != nullptr                          ? "word"
                       : field->cpp_type() == FieldDescriptor::CPPTYPE_BOOL   ? "true or false"
                       : field->cpp_type() == FieldDescriptor::CPPTYPE_STRING ? "text"
                                                                              : "number";
    const bool is_bool = field->cpp_type() == FieldDescriptor::CPPTYPE_BOOL;
    line(address, kind, field->enum_type() == nullptr ? "" : field->enum_type()->name(),
         is_bool              ? "default false"
         : is_required(field) ? "required"
                              : "optional");
    if (!meaning_of(field).empty()) meaning(meaning_of(field));
    if (field->enum_type() != nullptr) {
      out_ += wrapped("One of " + absl::StrJoin(enum_words(field->enum_type()), ", ") + ".", 4);
    }
  }

  std::string out_;
  std::map<const Descriptor*, std::string> first_;
};

}  // namespace

std::string describe(const Descriptor* type) {
  Table table;
  table.line("address", "unit", "range", "if unset");
  table.type(type, "");
  return type->full_name() + "\n\n" + table.take();
}

}  // namespace brakeward::document
