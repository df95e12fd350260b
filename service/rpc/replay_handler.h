// CheckService.Replay.
#pragma once

#include "rpc/call.h"

namespace brakeward::rpc {

Call* handle_replay(Context& shared, grpc::CallbackServerContext* context);

}  // namespace brakeward::rpc
