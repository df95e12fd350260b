// The schema as a table to read, and its types by name.
#pragma once

#include <google/protobuf/descriptor.h>

#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"

namespace brakeward::document {

// The types that stand in files of their own: Vehicle, Calibration, Recording, ChannelMap, Scenario,
// ToleranceSet, Baseline, Library, Run, ServiceConfig.
std::vector<const google::protobuf::Descriptor*> document_types();

// A message type of brakeward.v1 by name, in any of the forms Calibration, calibration, tolerance_set,
// brakeward.v1.Tyre. NotFound, with the nearest name and the document types, when there is none.
absl::StatusOr<const google::protobuf::Descriptor*> find_type(std::string_view name);

// Every address pattern of the type with unit, range, default and meaning, lists as "[]", curves with both
// axes, enums with their words. A block type is written out where it first appears and referred to later.
// At most 110 columns wide, no colour, ends in a newline.
std::string describe(const google::protobuf::Descriptor* type);

}  // namespace brakeward::document
