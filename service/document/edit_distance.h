// How far apart two words are, for "did you mean" in messages. Sees no protobuf.
#pragma once

#include <cstddef>
#include <string_view>

namespace brakeward::document {

// Insertions, deletions and replacements that turn one into the other (Levenshtein distance), byte by byte.
size_t edit_distance(std::string_view a, std::string_view b);

}  // namespace brakeward::document
