#include "document/date.h"

#include <charconv>
#include <chrono>

namespace brakeward::document {
namespace {

// The number that all of the text is; -1 where it is none.
int number_of(std::string_view text) {
  if (text.find_first_not_of("0123456789") != std::string_view::npos) return -1;
  int number = -1;
  std::from_chars(text.data(), text.data() + text.size(), number);
  return number;
}

}  // namespace

bool is_date(std::string_view text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
  const int year = number_of(text.substr(0, 4)), month = number_of(text.substr(5, 2)),
            day = number_of(text.substr(8, 2));
  if (year < 0 || month < 0 || day < 0) return false;
  return std::chrono::year_month_day(std::chrono::year(year),
                                     std::chrono::month(static_cast<unsigned>(month)),
                                     std::chrono::day(static_cast<unsigned>(day)))
      .ok();
}

}  // namespace brakeward::document
