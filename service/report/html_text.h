// Text that came from elsewhere, made fit to stand in HTML. Internal to the room.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace brakeward::report {

inline constexpr size_t kMostHtmlText = 1200;

// As literal text of an element or of a quoted attribute; what does not print goes through clean(). Of text
// longer than `most_bytes` before escaping the rest is cut and an ellipsis put.
std::string html(std::string_view text, size_t most_bytes = kMostHtmlText);

// JSON that can stand in a script element and ends it nowhere: "<" becomes an escape inside its string.
std::string script_data(std::string_view json);

}  // namespace brakeward::report
