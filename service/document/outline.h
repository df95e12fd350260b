// The bare shape of a text-format or JSON document: names, blocks, lists, values and their places, without
// knowing the schema. Tolerant, for diagnosis and for the line of a value.
#pragma once

#include <google/protobuf/descriptor.h>

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "document/lexer.h"

namespace brakeward::document {

// Nesting beyond this is refused; no document of the schema is nested a third as deep.
inline constexpr int kDeepestNesting = 32;

struct Entry;

struct Value {
  enum class Kind { kNone, kScalar, kString, kBlock, kList };
  Kind kind = Kind::kNone;
  std::string_view text;       // as written, blocks and lists with their brackets
  std::vector<Entry> entries;  // of a block
  std::vector<Value> items;    // of a list
  bool is_open = false;        // a quote that is not closed on its line
  int line = 0;
  int column = 0;
};

// One "name: value". An entry without a name is a stretch of text that cannot start a field.
struct Entry {
  std::string name;
  Value value;
  std::string_view stray;  // what follows the value on its line and belongs to nothing, for example "bar"
  bool has_colon = false;
  bool has_separator = false;  // a comma or semicolon follows
  size_t begin = 0;            // bytes of the whole entry with its separator
  size_t end = 0;
  int line = 0;
  int column = 0;
};

// Brackets that do not match, or nesting too deep. From `from` on the text is not
// to be trusted.
struct Break {
  size_t from = 0;
  int line = 0;
  int column = 0;
  std::string text;
};

struct Outline {
  std::vector<Entry> entries;
  std::vector<Break> breaks;
};

// The views in the outline point into `text`.
Outline outline_of(std::string_view text, bool is_json);

// Field of that name; in JSON the lowerCamelCase name serves as well.
const google::protobuf::FieldDescriptor* field_of(const google::protobuf::Descriptor* message,
                                                  const std::string& name, bool is_json);

// Where each value stands, by address with list positions (never item names).
struct Place {
  int line = 0;
  int column = 0;
};
using Places = std::map<std::string, Place>;
Places places_of(const Outline& outline, const google::protobuf::Descriptor* message, bool is_json);

// Decoded text of a string value as written, quotes and escapes gone; false when it cannot be decoded.
bool unquote(std::string_view written, std::string* out);

}  // namespace brakeward::document
