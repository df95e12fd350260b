// Calls with one answer.
#pragma once

#include <functional>

#include "absl/status/statusor.h"
#include "rpc/call.h"

namespace brakeward::rpc {

// From the bytes of the request to those of the answer.
using Answer = std::function<absl::StatusOr<grpc::ByteBuffer>(const grpc::ByteBuffer& request)>;

Call* handle_unary(Context& shared, grpc::CallbackServerContext* context, const Answer& answer);

}  // namespace brakeward::rpc
