// CheckService.Replay.
#pragma once

#include <grpcpp/grpcpp.h>

#include "rpc/context.h"

namespace brakeward::rpc {

grpc::ServerWriteReactor<grpc::ByteBuffer>* handle_replay(Context& shared,
                                                          grpc::CallbackServerContext* context,
                                                          const grpc::ByteBuffer* request);

}  // namespace brakeward::rpc
