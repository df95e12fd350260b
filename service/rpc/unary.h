// Calls with one answer.
#pragma once

#include <grpcpp/grpcpp.h>

#include <functional>

#include "absl/status/statusor.h"
#include "rpc/context.h"

namespace brakeward::rpc {

// Works out `answer` on the context's pool and sends it, or its status.
grpc::ServerUnaryReactor* handle_unary(Context& shared, grpc::CallbackServerContext* context,
                                       grpc::ByteBuffer* response,
                                       std::function<absl::StatusOr<grpc::ByteBuffer>()> answer);

}  // namespace brakeward::rpc
