// The schema for tools that know JSON Schema but not protobuf.
#pragma once

#include <google/protobuf/descriptor.h>

#include <string>

namespace brakeward::document {

// A JSON Schema (draft 2020-12) of a message type in the JSON form with the field names of the schema, as
// to_json() and the JSON of a run write it. Everything comes from the descriptors: types, ranges, defaults,
// required fields, words of enums; meanings as `description`, units as `x-unit`, the order of a curve's y as
// `x-order`. No member beyond the schema's is allowed. Blocks stand under `$defs` by their name, curves where
// they are used, as each has axes of its own.
//
// Numbers of 64 bits may also be text, as the protobuf JSON mapping writes them. Numbers of a run may be
// "NaN", "Infinity" or "-Infinity"; those of other documents must be finite. Some rules of check.h are beyond
// JSON Schema: x of a curve rising, names unique in their list, no control characters in text.
//
// Two blanks of indent, ends in a newline, the same text every time.
std::string json_schema(const google::protobuf::Descriptor* type);

}  // namespace brakeward::document
