// What the handlers of one server share.
#pragma once

#include <atomic>

#include "gate/desk.h"
#include "gate/runner.h"
#include "rpc/streams.h"

namespace brakeward::rpc {

// Thread-safe. Outlives every call: the server's own, and destroyed after it.
struct Context {
  Context(gate::Desk& the_desk, int open_streams, double retry_s)
      : desk(the_desk), retry_after_s(retry_s), streams(open_streams), pool(kWorkers, kPoolQueue) {}

  static constexpr int kWorkers = 4;
  static constexpr int kPoolQueue = 1024;

  gate::Desk& desk;
  const double retry_after_s;
  std::atomic<bool> draining{false};
  Streams streams;
  // Reads requests, opens sessions, answers library calls: none of it on gRPC's threads, which must stay free
  // to hear of cancelled calls. Last: its threads end before what they use.
  gate::Runner pool;
};

}  // namespace brakeward::rpc
