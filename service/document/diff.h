// What differs between two documents of one type, value by value.
#pragma once

#include <google/protobuf/message.h>

#include <string>
#include <vector>

#include "absl/status/statusor.h"

namespace brakeward::document {

// Values as written in messages: "3 bar", "\"soft\"", "REQUEST_CONTROL_HAND", "true". A value that is not
// there reads "unset", with the default it then takes: "unset (0 bar)".
struct Difference {
  std::string address;
  std::string before;
  std::string after;
};

// In schema order; empty when and only when both documents say the same (content_hash.h). Items of a list are
// matched by name where all have one (address.h), else by position; curves point by point. A different order
// of named items is a difference of its own, at the list. InvalidArgument when the types differ.
absl::StatusOr<std::vector<Difference>> diff(const google::protobuf::Message& before,
                                             const google::protobuf::Message& after);

}  // namespace brakeward::document
