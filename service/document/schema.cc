#include "document/schema.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "absl/strings/match.h"
#include "absl/strings/str_cat.h"
#include "document/edit_distance.h"

namespace brakeward::document {

using google::protobuf::Descriptor;
using google::protobuf::EnumDescriptor;
using google::protobuf::FieldDescriptor;

namespace {

// Units that only the context of the value knows.
bool is_contextual(std::string_view unit) {
  return unit == "measure's unit" || unit == "column unit";
}

}  // namespace

const v1::Quantity* quantity_of(const FieldDescriptor* field) {
  const auto& options = field->options();
  return options.HasExtension(v1::quantity) ? &options.GetExtension(v1::quantity) : nullptr;
}

const v1::CurveAxes* curve_of(const FieldDescriptor* field) {
  const auto& options = field->options();
  return options.HasExtension(v1::curve) ? &options.GetExtension(v1::curve) : nullptr;
}

const v1::Note* note_of(const FieldDescriptor* field) {
  const auto& options = field->options();
  return options.HasExtension(v1::note) ? &options.GetExtension(v1::note) : nullptr;
}

std::string meaning_of(const FieldDescriptor* field) {
  if (const v1::Quantity* quantity = quantity_of(field)) return quantity->meaning();
  if (const v1::CurveAxes* axes = curve_of(field)) return axes->meaning();
  if (const v1::Note* note = note_of(field)) return note->meaning();
  return "";
}

bool is_required(const FieldDescriptor* field) {
  if (const v1::Quantity* quantity = quantity_of(field)) {
    return !quantity->has_default_value() && !quantity->may_be_unset();
  }
  const v1::Note* note = note_of(field);
  return note != nullptr && note->required();
}

bool is_numeric(const FieldDescriptor* field) {
  switch (field->cpp_type()) {
    case FieldDescriptor::CPPTYPE_DOUBLE:
    case FieldDescriptor::CPPTYPE_FLOAT:
    case FieldDescriptor::CPPTYPE_INT32:
    case FieldDescriptor::CPPTYPE_INT64:
    case FieldDescriptor::CPPTYPE_UINT32:
    case FieldDescriptor::CPPTYPE_UINT64:
      return true;
    default:
      return false;
  }
}

const FieldDescriptor* key_of(const Descriptor* message) {
  for (const char* name : {"name", "scenario", "measure"}) {
    const FieldDescriptor* field = message->FindFieldByName(name);
    if (field != nullptr && !field->is_repeated() && field->type() == FieldDescriptor::TYPE_STRING)
      return field;
  }
  return nullptr;
}

std::string format_number(double value) {
  if (std::isnan(value)) return "nan";
  if (std::isinf(value)) return value > 0 ? "inf" : "-inf";
  char text[32];
  const auto end = std::to_chars(text, text + sizeof(text), value);
  return std::string(text, end.ptr);
}

std::string with_unit(double value, std::string_view unit) {
  if (unit.empty() || unit == "1" || is_contextual(unit)) return format_number(value);
  return absl::StrCat(format_number(value), " ", std::string(unit));
}

std::string range_text(const v1::Quantity& quantity) {
  const std::string range =
      format_number(quantity.minimum()) + " to " + with_unit(quantity.maximum(), quantity.unit());
  if (!is_contextual(quantity.unit())) return range;
  return range + (quantity.unit() == "column unit" ? " in the column's unit" : " in the measure's unit");
}

std::string nearest_word(std::string_view word, const std::vector<std::string>& choices) {
  std::string best;
  size_t best_distance = std::max<size_t>(2, word.size() / 3) + 1;
  for (const std::string& choice : choices) {
    // A very long word is no slip of the pen, and the distance would cost its length squared.
    if (word.size() > 2 * choice.size() + 8) continue;
    size_t distance = edit_distance(word, choice);
    const absl::string_view typed(word.data(), word.size());
    const bool is_start =
        word.size() >= 3 && (absl::StartsWith(choice, typed) || absl::EndsWith(choice, typed));
    if (is_start) distance = std::min<size_t>(distance, 2);
    if (distance < best_distance) {
      best_distance = distance;
      best = choice;
    }
  }
  return best;
}

std::vector<std::string> field_names(const Descriptor* message) {
  std::vector<std::string> names;
  for (int i = 0; i < message->field_count(); ++i) names.push_back(message->field(i)->name());
  return names;
}

std::vector<std::string> enum_words(const EnumDescriptor* words) {
  std::vector<std::string> names;
  for (int i = 0; i < words->value_count(); ++i) {
    if (words->value(i)->number() != 0) names.push_back(words->value(i)->name());
  }
  return names;
}

}  // namespace brakeward::document
