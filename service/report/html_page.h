// What pages in HTML share: head, foot, caution. Internal to the room.
#pragma once

#include <string>
#include <string_view>

namespace brakeward::report {

// Down to the open body. Nothing may be fetched, and only `script` may run, by its hash. `title` is escaped.
std::string page_head(std::string_view title, std::string_view style, std::string_view script);

std::string caution_box();

// From the end of main on, with the script.
std::string page_foot(std::string_view script);

}  // namespace brakeward::report
