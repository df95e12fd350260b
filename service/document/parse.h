// Documents in: text format (a file ending in .json: JSON) to a checked message, or every fault at once.
#pragma once

#include <google/protobuf/message.h>

#include <cstddef>
#include <filesystem>
#include <string_view>

#include "document/fault.h"

namespace brakeward::document {

// A larger file is refused unread.
inline constexpr size_t kLargestDocument = size_t{8} << 20;

// Reads `text` into `out` and checks it by the rules of check.h. `file` is named in the faults and tells
// JSON (.json) from text format. No faults means that `out` holds a good document; with faults `out` holds
// whatever could be read and must not be used. Defaults are not filled in: see resolve_defaults().
//
// What is accepted is what protobuf's own parser accepts, nothing else. When it refuses, the document is
// gone through field by field: each faulty field is reported and blanked, and the rest is parsed and
// checked, so that one call lists misspelt names, wrong words, stray units and values out of range together.
// From a bracket or quote that does not match, the rest is not checked, and the fault says so.
//
// A header comment "# proto-message: brakeward.v1.X" that names another message is a fault.
Faults parse(std::string_view text, std::string_view file, google::protobuf::Message* out);

// parse() on a regular file. A file that is missing, unreadable, a directory, a device or larger than
// kLargestDocument is one fault without a line.
Faults load(const std::filesystem::path& path, google::protobuf::Message* out);

}  // namespace brakeward::document
