// CheckService.Check.
#pragma once

#include "rpc/call.h"

namespace brakeward::rpc {

Call* handle_check(Context& shared, grpc::CallbackServerContext* context);

}  // namespace brakeward::rpc
