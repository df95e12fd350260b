// Messages as bytes. The handlers take and give bytes, so that bytes that are no message get an answer of
// ours and messages are made away from gRPC's threads.
#pragma once

#include <google/protobuf/message.h>
#include <grpcpp/grpcpp.h>

#include "absl/status/status.h"

namespace brakeward::rpc {

// MALFORMED_REQUEST when the bytes are no such message.
absl::Status decode(const grpc::ByteBuffer& bytes, google::protobuf::Message* message);

grpc::ByteBuffer encode(const google::protobuf::Message& message);

}  // namespace brakeward::rpc
