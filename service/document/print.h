// Documents out.
#pragma once

#include <google/protobuf/message.h>

#include <string>

#include "absl/status/statusor.h"

namespace brakeward::document {

// Text format with the header comments "# proto-file:" and "# proto-message:"; numbers as the shortest text
// that reads back as the same double; text as UTF-8. Reading it back gives the same content hash.
std::string to_text(const google::protobuf::Message& message);

// JSON with the field names of the schema, one member a line. InvalidArgument when the message holds text
// that is not UTF-8. Numbers read back as the same double.
absl::StatusOr<std::string> to_json(const google::protobuf::Message& message);

}  // namespace brakeward::document
