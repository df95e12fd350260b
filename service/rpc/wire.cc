#include "rpc/wire.h"

#include <grpcpp/support/proto_buffer_reader.h>

#include "rpc/errors.h"

namespace brakeward::rpc {

absl::Status decode(const grpc::ByteBuffer& bytes, google::protobuf::Message* message) {
  grpc::ByteBuffer copy(bytes);  // shares the slices; reading needs one that may change
  grpc::ProtoBufferReader reader(&copy);
  if (reader.status().ok() && message->ParseFromZeroCopyStream(&reader)) return absl::OkStatus();
  return malformed(message->GetDescriptor()->full_name());
}

grpc::ByteBuffer encode(const google::protobuf::Message& message) {
  const grpc::Slice slice(message.SerializeAsString());
  return grpc::ByteBuffer(&slice, 1);
}

}  // namespace brakeward::rpc
