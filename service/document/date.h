// Calendar dates as people write them into documents.
#pragma once

#include <string_view>

namespace brakeward::document {

// A day of the Gregorian calendar as ISO 8601 has it, "2026-03-01". Such dates sort as text.
bool is_date(std::string_view text);

}  // namespace brakeward::document
