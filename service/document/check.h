// The rules of the schema on a message, all faults at once.
#pragma once

#include <google/protobuf/message.h>

#include <functional>
#include <set>
#include <string>

#include "document/fault.h"

namespace brakeward::document {

// Where faults are said to be. Without a line lookup faults carry addresses alone.
struct CheckContext {
  std::string file;
  // Line and column (from 1) of the value at an address with list positions only; {0, 0} when not known.
  std::function<std::pair<int, int>(const std::string& address)> place_of;
  // Addresses with list positions whose absence was already complained about.
  std::set<std::string> excused;
  // False when parts of the file could not be read, so that nothing can be called missing.
  bool report_missing = true;
};

// What is checked, for every field that is set and every block within:
//   numbers   finite and within the range of `quantity`; set, unless it has a default or may be unset
//   curves    1 to 16 points, strictly rising x, x and y finite and within the range of their axis, and the
//             order of y the axis asks for
//   others    set where the note says required (an enum: not UNSPECIFIED; a list: not empty)
//   enums     a word of the schema; text: UTF-8 without control characters other than tab and newline
//   oneofs    one member set
//   lists     no two items with the same `name`
//   unknown fields of a newer or foreign schema are refused
Faults check(const google::protobuf::Message& message, const CheckContext& context = {});

}  // namespace brakeward::document
