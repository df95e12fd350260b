// Text that came from elsewhere, made fit to print.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace brakeward::report {

inline constexpr size_t kHashDigits = 12;  // of a hash: enough to tell two apart by eye

// Number of code points of valid UTF-8: the width on a terminal for the scripts engineers name scenarios in.
size_t width_of(std::string_view text);

// Lines of at most `width` code points, broken at blanks; a longer word stands alone.
std::vector<std::string> wrap(std::string_view text, size_t width);

}  // namespace brakeward::report
