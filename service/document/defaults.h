// Unset numbers take the value the schema gives them.
#pragma once

#include <google/protobuf/message.h>

namespace brakeward::document {

// Sets every unset numeric field that has a default_value and may not stay unset, in the message and in all
// blocks that are set. Blocks that are not set stay so.
void resolve_defaults(google::protobuf::Message* message);

}  // namespace brakeward::document
