// Why protobuf's parser refuses a document: the outline held against the schema. Not part of the face.
#pragma once

#include <google/protobuf/descriptor.h>

#include <set>
#include <string>
#include <utility>
#include <vector>

#include "document/fault.h"
#include "document/outline.h"

namespace brakeward::document {

struct Diagnosis {
  Faults faults;
  // Byte ranges of the fields at fault; without them the rest can be parsed.
  std::vector<std::pair<size_t, size_t>> blanks;
  // Addresses with list positions that must not also be called missing.
  std::set<std::string> excused;
};

// Looks at what stands before byte `end` only.
Diagnosis diagnose(const Outline& outline, size_t end, const google::protobuf::Descriptor* type,
                   const std::string& file, bool is_json);

// The deepest entry around a byte, with its address; nullptr when there is none.
struct Located {
  const Entry* entry = nullptr;
  std::string shown;
  std::string path;
};
Located locate(const Outline& outline, size_t at, const google::protobuf::Descriptor* type, bool is_json);

// What was written, fit for one line of a message: cut when long, control characters as blanks.
std::string excerpt(std::string_view text);

// Empty when the value as written can be read into the field, else the sentence (literal.cc).
std::string literal_fault(const google::protobuf::FieldDescriptor* field, const Value& value, bool is_json);

}  // namespace brakeward::document
