// One call: the part that all methods share.
#pragma once

#include <grpcpp/grpcpp.h>

#include <memory>
#include <mutex>
#include <optional>

#include "absl/status/status.h"
#include "rpc/context.h"

namespace brakeward::rpc {

// Reads one message, has the derived class work on it, writes what that has to say. The one message that is
// under way lies here; what waits, and how much of it, is the business of the derived class. Freed when gRPC
// has had its last call and nobody else holds it. Thread-safe.
//
// To gRPC every method takes a stream and gives one; on the wire that is the same. gRPC would otherwise read
// the request itself and keep calls to itself whose request never comes or is too large: nobody could count
// them.
class Call : public grpc::ServerBidiReactor<grpc::ByteBuffer, grpc::ByteBuffer>,
             public std::enable_shared_from_this<Call> {
 public:
  // Kept by gRPC from here on.
  static Call* start(std::shared_ptr<Call> call);

  void OnReadDone(bool ok) override;
  void OnWriteDone(bool ok) override;
  void OnCancel() override;
  void OnDone() override;

 protected:
  // A long one is refused while the service drains and counts among the open streams.
  enum class Kind { kShort, kLong };

  Call(Context& shared, grpc::CallbackServerContext* context, Kind kind)
      : shared_(shared), context_(context), kind_(kind) {}

  // Makes sense of request() and hands in the work; on the pool.
  virtual void work() = 0;
  // The next message, if there is one. Called with lock() held.
  virtual bool next(grpc::ByteBuffer* message) = 0;
  // Nobody wants the answer any more; called at most twice, without the lock.
  virtual void stop() = 0;

  // There may be a next message.
  void pump();
  // The call's last status: OK after all messages, another before them. The first one counts.
  void end(absl::Status status);

  std::unique_lock<std::mutex> lock() { return std::unique_lock(mutex_); }
  bool is_stopped();

  Context& shared_;
  const grpc::ByteBuffer& request() const { return request_; }

 private:
  absl::Status hand_in();
  absl::Status why_stopped() const;

  grpc::CallbackServerContext* const context_;  // gRPC's, there until OnDone
  const Kind kind_;
  grpc::ByteBuffer request_;
  std::mutex mutex_;
  bool writing_ = false, stopped_ = false, finished_ = false;  // guarded by mutex_
  std::optional<absl::Status> end_;                            // guarded by mutex_
  std::unique_ptr<Streams::Place> place_;                      // guarded by mutex_
  grpc::ByteBuffer message_;                                   // of the one write under way
  std::shared_ptr<Call> self_;                                 // until OnDone
};

}  // namespace brakeward::rpc
