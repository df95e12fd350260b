// SHA-256 over what a document says, whatever its form: text or JSON, order of fields, comments and blanks
// make no difference; an unset number and 0 do. Protobuf's own serialization is not canonical across library
// versions, so the walk is our own.
//
// Encoding version 1. Integers are little-endian.
//   document  "brakeward.document.1" (20 bytes), then message
//   message   0x4D, text(full name of the message type), then for each field that is present, in ascending
//             order of field number: field; then u32 0
//   field     u32 field number, then value (singular) or list (repeated)
//             Present is what protobuf calls present: set, or for a field without presence (text, bool,
//             enum) not the zero value. An empty block that is set is present.
//   list      0x4C, u64 number of items, then value of each in document order;
//             map fields: the items' encodings in ascending byte order
//   value     double       0x44, 8 bytes IEEE 754 binary64; -0 as 0; NaN is refused
//             float        0x46, 4 bytes IEEE 754 binary32; -0 as 0; NaN is refused
//             int32 int64  0x49, 8 bytes two's complement
//             uint32/64    0x55, 8 bytes
//             bool         0x42, 1 byte 0 or 1
//             enum         0x45, 8 bytes two's complement of the number
//             text, bytes  0x54, text
//             message      message
//   text      u64 number of bytes, the bytes
#pragma once

#include <google/protobuf/message.h>

#include <string>

#include "absl/status/statusor.h"

namespace brakeward::document {

// 64 lower-case hexadecimal digits. InvalidArgument, naming the address, for a NaN or an unknown field.
absl::StatusOr<std::string> content_sha256(const google::protobuf::Message& message);

// The bytes that content_sha256() hashes.
absl::StatusOr<std::string> canonical_bytes(const google::protobuf::Message& message);

}  // namespace brakeward::document
