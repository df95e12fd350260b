// From absl::Status to the wire and back.
#pragma once

#include <grpcpp/grpcpp.h>

#include "absl/status/status.h"

namespace brakeward::rpc {

// With details, as long as the caller of `context` takes them.
grpc::Status to_wire(const absl::Status& status, const grpc::ServerContextBase& context);

// The code, and a message with one line a violation where the details hold any.
absl::Status from_wire(const grpc::Status& status);

}  // namespace brakeward::rpc
