#include "rpc/unary.h"

#include "rpc/errors.h"
#include "rpc/status.h"

namespace brakeward::rpc {

grpc::ServerUnaryReactor* handle_unary(Context& shared, grpc::CallbackServerContext* context,
                                       grpc::ByteBuffer* response,
                                       std::function<absl::StatusOr<grpc::ByteBuffer>()> answer) {
  grpc::ServerUnaryReactor* reactor = context->DefaultReactor();
  const auto taken = shared.pool.take([=, answer = std::move(answer)] {
    auto bytes = answer();
    if (bytes.ok()) response->Swap(&*bytes);
    reactor->Finish(to_wire(bytes.status(), *context));
  });
  if (!taken)
    reactor->Finish(to_wire(
        queue_full("too many requests wait to be read; try again later", shared.retry_after_s), *context));
  return reactor;
}

}  // namespace brakeward::rpc
