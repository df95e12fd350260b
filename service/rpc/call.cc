#include "rpc/call.h"

#include "rpc/deadline.h"
#include "rpc/errors.h"
#include "rpc/status.h"

namespace brakeward::rpc {

Call* Call::start(std::shared_ptr<Call> call) {
  Call* reactor = call.get();
  call->self_ = std::move(call);
  reactor->StartRead(&reactor->request_);
  return reactor;
}

void Call::OnReadDone(bool ok) {
  if (const absl::Status status = ok ? hand_in() : no_message(); !status.ok()) end(status);
}

absl::Status Call::hand_in() {
  if (kind_ == Kind::kLong) {
    if (shared_.draining) return draining(shared_.retry_after_s);
    auto place = shared_.streams.take();
    if (!place) return too_many_streams(shared_.streams.limit(), shared_.retry_after_s);
    const auto held = lock();
    if (!finished_) place_ = std::move(place);
  }
  if (shared_.pool.take([call = shared_from_this()] { call->work(); })) return absl::OkStatus();
  return queue_full("too many requests wait to be read; try again later", shared_.retry_after_s);
}

void Call::pump() {
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
  auto place = std::move(place_);
  held.unlock();
  place.reset();  // a caller that has read the status finds the place free
  Finish(to_wire(status, *context_));
}

void Call::end(absl::Status status) {
  {
    const auto held = lock();
    if (!end_) end_ = std::move(status);
  }
  pump();
}

void Call::OnWriteDone(bool ok) {
  {
    const auto held = lock();
    writing_ = false;
    if (!ok) stopped_ = true;
  }
  if (!ok) stop();
  pump();
}

void Call::OnCancel() {
  {
    const auto held = lock();
    stopped_ = true;
  }
  stop();
  pump();
}

void Call::OnDone() {
  const auto self = std::move(self_);
}

bool Call::is_stopped() {
  const auto held = lock();
  return stopped_;
}

absl::Status Call::why_stopped() const {
  return has_passed(context_->deadline()) ? deadline_passed() : cancelled();
}

}  // namespace brakeward::rpc
