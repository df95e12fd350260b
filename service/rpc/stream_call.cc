#include "rpc/stream_call.h"

#include "rpc/errors.h"
#include "rpc/status.h"

namespace brakeward::rpc {

grpc::ServerWriteReactor<grpc::ByteBuffer>* StreamCall::start(std::shared_ptr<StreamCall> call) {
  Context& shared = call->shared_;
  StreamCall* reactor = call.get();
  call->self_ = call;
  if (shared.draining) {
    call->end(draining(shared.retry_after_s));
  } else if (call->place_ = shared.streams.take(); !call->place_) {
    call->end(too_many_streams(shared.streams.limit(), shared.retry_after_s));
  } else if (!shared.pool.take([call] { call->work(); })) {
    call->end(queue_full("too many requests wait to be read; try again later", shared.retry_after_s));
  }
  return reactor;
}

void StreamCall::pump() {
  auto held = lock();
  if (writing_ || finished_) return;
  const bool refused = end_ && !end_->ok();
  if (!refused && !stopped_ && next(&message_)) {
    writing_ = true;
    held.unlock();
    StartWrite(&message_);
    return;
  }
  if (!end_) return;
  finished_ = true;
  const absl::Status status = stopped_ ? why_stopped() : *end_;
  held.unlock();
  place_.reset();  // a caller that has read the status finds the place free
  Finish(to_wire(status, *context_));
}

void StreamCall::end(absl::Status status) {
  {
    const auto held = lock();
    if (!end_) end_ = std::move(status);
  }
  pump();
}

void StreamCall::OnWriteDone(bool ok) {
  {
    const auto held = lock();
    writing_ = false;
    if (!ok) stopped_ = true;
  }
  if (!ok) stop();
  pump();
}

void StreamCall::OnCancel() {
  {
    const auto held = lock();
    stopped_ = true;
  }
  stop();
  pump();
}

void StreamCall::OnDone() {
  const auto self = std::move(self_);
}

bool StreamCall::is_stopped() {
  const auto held = lock();
  return stopped_;
}

// gRPC tells both as cancelled; its own timer may be a moment ahead of the clock read here.
absl::Status StreamCall::why_stopped() const {
  const auto now = std::chrono::system_clock::now() + std::chrono::milliseconds(2);
  return now >= context_->deadline() ? deadline_passed() : cancelled();
}

}  // namespace brakeward::rpc
