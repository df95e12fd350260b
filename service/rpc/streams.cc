#include "rpc/streams.h"

namespace brakeward::rpc {

std::unique_ptr<Streams::Place> Streams::take() {
  const std::lock_guard lock(mutex_);
  if (open_ >= limit_) return nullptr;
  ++open_;
  return std::make_unique<Place>(*this);
}

void Streams::give_back() {
  const std::lock_guard lock(mutex_);
  --open_;
  changed_.notify_all();
}

bool Streams::wait_none(std::chrono::system_clock::time_point deadline) {
  std::unique_lock lock(mutex_);
  return changed_.wait_until(lock, deadline, [&] { return open_ == 0; });
}

}  // namespace brakeward::rpc
