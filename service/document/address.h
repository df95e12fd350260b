// The address of a value in a document: field path with list positions from 0 or item names,
//   hand_control.effort_grades[2].feel.points[3].y      balance.steps["+2"].front_percent
// An item is named by its key field (schema.h) where that text is set and unique in its list. The same
// address serves faults, diff, sweeps and explanations; reading accepts position and name alike.
#pragma once

#include <google/protobuf/message.h>

#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"

namespace brakeward::document {

// "a.b", or "b" when the prefix is empty.
std::string join_address(const std::string& prefix, const std::string& field);
// "[2]"
std::string position_label(int position);
// "[\"+2\"]"
std::string name_label(const std::string& name);

// Label of every item of a repeated field: by name where it has one, else by position.
std::vector<std::string> item_labels(const google::protobuf::Message& message,
                                     const google::protobuf::FieldDescriptor* field);
// The same from names alone; an empty name has none.
std::vector<std::string> labels_from_names(const std::vector<std::string>& names);

// One value inside a message: the message that holds it, the field, the list position or -1.
struct Spot {
  google::protobuf::Message* holder = nullptr;
  const google::protobuf::FieldDescriptor* field = nullptr;
  int index = -1;
};

// Finds the value at an address. Every block on the way must be set; the value itself may be unset.
// InvalidArgument with the part that does not resolve and what would.
absl::StatusOr<Spot> find_spot(google::protobuf::Message* root, std::string_view address);

// The number at an address, and setting it; the address must lead to a numeric field. Setting checks
// neither range nor anything else: call check() afterwards.
absl::StatusOr<double> number_at(const google::protobuf::Message& root, std::string_view address);
absl::Status set_number_at(google::protobuf::Message* root, std::string_view address, double value);

}  // namespace brakeward::document
