// Text that came from elsewhere, made fit to stand in Markdown. Internal to the room.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace brakeward::report {

// The text as literal text of one line, wherever in a line it is put: paragraph, list item, table cell.
//
// Characters that could begin Markdown or HTML become numeric character references, which CommonMark (2.5)
// never takes for structure, and a bar as reference does not end a table cell. A word joiner (U+2060, of no
// width) after "@", "#", "!" and their like, in "://" and after "www" keeps the platform from making
// mentions, references and links out of names. Line breaks and the rest that does not print go through
// document::clean(). What would come out longer than `most_bytes` is cut and ends in an ellipsis.
std::string markdown(std::string_view text, size_t most_bytes);

}  // namespace brakeward::report
