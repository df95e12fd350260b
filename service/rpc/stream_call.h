// One open stream: the part that Check and Replay share.
#pragma once

#include <grpcpp/grpcpp.h>

#include <memory>
#include <mutex>
#include <optional>

#include "absl/status/status.h"
#include "rpc/context.h"

namespace brakeward::rpc {

// A stream of messages to one caller. The one message that is under way lies here; what waits, and how much
// of it, is the business of the derived class. Freed when gRPC has had its last call and nobody else holds
// it. Thread-safe.
class StreamCall : public grpc::ServerWriteReactor<grpc::ByteBuffer>,
                   public std::enable_shared_from_this<StreamCall> {
 public:
  // Puts the call's work on the context's pool, or ends it at once: when the service drains, all streams are
  // open or the pool is full.
  static grpc::ServerWriteReactor<grpc::ByteBuffer>* start(std::shared_ptr<StreamCall> call);

  void OnWriteDone(bool ok) override;
  void OnCancel() override;
  void OnDone() override;

 protected:
  StreamCall(Context& shared, grpc::CallbackServerContext* context, const grpc::ByteBuffer* request)
      : shared_(shared), context_(context), request_(request) {}

  // Reads the request and hands in the work; on the pool.
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
  // Both are gRPC's, there until OnDone; not to be touched after end().
  grpc::CallbackServerContext* const context_;
  const grpc::ByteBuffer* const request_;

 private:
  absl::Status why_stopped() const;

  std::mutex mutex_;
  bool writing_ = false, stopped_ = false, finished_ = false;  // guarded by mutex_
  std::optional<absl::Status> end_;                            // guarded by mutex_
  grpc::ByteBuffer message_;                                   // of the one write under way
  std::unique_ptr<Streams::Place> place_;
  std::shared_ptr<StreamCall> self_;  // until OnDone
};

}  // namespace brakeward::rpc
