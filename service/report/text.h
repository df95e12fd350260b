// Text that came from elsewhere, made fit to print.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace brakeward::report {

// Valid UTF-8 without control characters: invalid bytes, C0 and C1 controls, DEL, line and paragraph
// separators, the controls of writing direction and the non-characters U+FFFE and U+FFFF become U+FFFD; TAB,
// LF and CR stay when `keep_space`, else they become blanks.
std::string clean(std::string_view text, bool keep_space = false);

// Number of code points of valid UTF-8: the width on a terminal for the scripts engineers name scenarios in.
size_t width_of(std::string_view text);

// Lines of at most `width` code points, broken at blanks; a longer word stands alone.
std::vector<std::string> wrap(std::string_view text, size_t width);

}  // namespace brakeward::report
