// UTF-8: what is well-formed, and text that came from elsewhere made fit to print.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace brakeward::document {

// Bytes of the well-formed sequence at the start of text that is not empty (Unicode 15, table 3-7); 0 when
// there is none.
size_t utf8_length(std::string_view text);

// True when all bytes are well-formed UTF-8; else `bad_at` is the first bad byte.
bool is_utf8(std::string_view bytes, size_t* bad_at);

// Valid UTF-8 without control characters: invalid bytes, C0 and C1 controls, DEL, line and paragraph
// separators, the controls of writing direction and the non-characters U+FFFE and U+FFFF become U+FFFD; TAB,
// LF and CR stay when `keep_space`, else they become blanks.
std::string clean(std::string_view text, bool keep_space = false);

}  // namespace brakeward::document
