// What the schema says about one field, and how values are written in messages, reports and tables.
#pragma once

#include <google/protobuf/descriptor.h>
#include <google/protobuf/message.h>

#include <string>
#include <string_view>
#include <vector>

#include "brakeward/v1/quantity.pb.h"

namespace brakeward::document {

// The option of that name on the field, or nullptr. Valid as long as the descriptor.
const v1::Quantity* quantity_of(const google::protobuf::FieldDescriptor* field);
const v1::CurveAxes* curve_of(const google::protobuf::FieldDescriptor* field);
const v1::Note* note_of(const google::protobuf::FieldDescriptor* field);

// The sentence that says what the field is; empty when the schema has none.
std::string meaning_of(const google::protobuf::FieldDescriptor* field);

// True when a document without the field is refused: a note or curve marked required, or a quantity that
// has neither a default nor a meaning when unset.
bool is_required(const google::protobuf::FieldDescriptor* field);

bool is_numeric(const google::protobuf::FieldDescriptor* field);

// The field whose text names an item in a list: `name`, else `scenario`, else `measure`; nullptr when the
// message has none of them. Addresses and diff() use it; only `name` must be unique (check.h).
const google::protobuf::FieldDescriptor* key_of(const google::protobuf::Descriptor* message);

// Shortest text that reads back as the same number: 0.1, 1500, 1e+12, inf, nan. No locale.
std::string format_number(double value);
// "3 bar", "62 %"; a pure number, or a unit only the context knows, stands alone.
std::string with_unit(double value, std::string_view unit);
// "0 to 20 mm", "1 to 64", "0 to 1e+06 in the measure's unit".
std::string range_text(const v1::Quantity& quantity);

// Edit distance is small enough to be a slip of the pen, or one is the start of the other; "" when none is.
std::string nearest_word(std::string_view word, const std::vector<std::string>& choices);
std::vector<std::string> field_names(const google::protobuf::Descriptor* message);
// Words of the enum without the UNSPECIFIED one.
std::vector<std::string> enum_words(const google::protobuf::EnumDescriptor* words);

}  // namespace brakeward::document
