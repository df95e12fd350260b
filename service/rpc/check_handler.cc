#include "rpc/check_handler.h"

#include <deque>

#include "absl/strings/str_split.h"
#include "brakeward/v1/check_service.pb.h"
#include "gate/run_message.h"
#include "rpc/errors.h"
#include "rpc/prepare.h"
#include "rpc/wire.h"

namespace brakeward::rpc {
namespace {

// The store's own words name files of the server.
constexpr const char* kNotKept =
    "the service could not keep the run; whoever runs it finds why in its log and metrics";

// What waits to be written: one message of progress at most, no scenario twice, one of every other kind.
class CheckCall : public Call, public gate::Watcher {
 public:
  CheckCall(Context& shared, grpc::CallbackServerContext* context) : Call(shared, context, Kind::kLong) {}

  void on_progress(size_t done, size_t all) override {
    {
      const auto held = lock();
      v1::CheckProgress& progress = progress_.emplace();
      progress.set_replays_done(static_cast<int>(done));
      progress.set_replays(static_cast<int>(all));
    }
    pump();
  }

  void on_scenario(const verdict::ScenarioResult& result) override {
    v1::CheckResponse response;
    *response.mutable_scenario() = gate::to_message(result);
    {
      const auto held = lock();
      scenarios_.push_back(encode(response));
    }
    pump();
  }

  void on_finished(absl::StatusOr<gate::Finished> finished) override {
    if (!finished.ok()) {
      end(why(finished.status()));
      return;
    }
    v1::CheckResponse response;
    v1::CheckCompleted* completed = response.mutable_completed();
    *completed->mutable_run() = gate::to_message(finished->run);
    completed->set_kept(finished->kept);
    if (!finished->kept) completed->set_notice(kNotKept);
    {
      const auto held = lock();
      completed_ = encode(response);
    }
    end(absl::OkStatus());
  }

 protected:
  void work() override {
    if (const absl::Status status = submit(); !status.ok()) end(status);
  }

  bool next(grpc::ByteBuffer* message) override {
    if (!accepted_) return false;
    if (accepted_->Valid()) {
      message->Swap(&*accepted_);
      accepted_->Clear();
    } else if (!scenarios_.empty()) {
      message->Swap(&scenarios_.front());
      scenarios_.pop_front();
    } else if (progress_) {
      v1::CheckResponse response;
      *response.mutable_progress() = *progress_;
      *message = encode(response);
      progress_.reset();
    } else if (completed_) {
      message->Swap(&*completed_);
      completed_.reset();
    } else {
      return false;
    }
    return true;
  }

  void stop() override {
    std::shared_ptr<gate::Ticket> ticket;
    {
      const auto held = lock();
      ticket = ticket_;
    }
    if (ticket) ticket->cancel();
  }

 private:
  absl::Status submit() {
    if (is_stopped()) return cancelled();
    v1::CheckRequest request;
    if (absl::Status status = decode(Call::request(), &request); !status.ok()) return status;
    const std::string event_build = request.event_build();
    auto session = prepare_check(request, shared_.desk.libraries(), shared_.desk.history());
    if (!session.ok()) return session.status();
    library_ = session->library;
    const std::int64_t replays = gate::count_replays(*session);
    const int limit = shared_.desk.limits().replays_per_run;
    if (replays > limit) return too_many_replays(replays, limit);
    auto self = std::static_pointer_cast<CheckCall>(shared_from_this());
    auto ticket = shared_.desk.submit(*std::move(session), event_build, std::move(self));
    if (absl::IsResourceExhausted(ticket.status()))
      return queue_full(std::string(ticket.status().message()), shared_.retry_after_s);
    if (!ticket.ok()) return draining(shared_.retry_after_s);
    accept(*ticket);
    return absl::OkStatus();
  }

  void accept(const std::shared_ptr<gate::Ticket>& ticket) {
    v1::CheckResponse response;
    response.mutable_accepted()->set_run_id(ticket->run_id);
    response.mutable_accepted()->set_replays(ticket->replays);
    response.mutable_accepted()->set_runs_ahead(ticket->runs_ahead);
    {
      const auto held = lock();
      accepted_ = encode(response);
      ticket_ = ticket;
    }
    if (is_stopped()) ticket->cancel();
    pump();
  }

  // The desk's reasons in the words of the wire.
  absl::Status why(const absl::Status& status) {
    const std::string text = without_paths(*library_, std::string(status.message()));
    switch (status.code()) {
      case absl::StatusCode::kCancelled:  // by its caller, and then that is told, or by a service that stops
        return draining(shared_.retry_after_s);
      case absl::StatusCode::kUnavailable:
        return run_not_kept(text + "; " + kNotKept);
      default:
        return cannot_replay(status.code(), text);
    }
  }

  std::shared_ptr<const scenario::Library> library_;  // set before the desk calls
  // All guarded by lock().
  std::shared_ptr<gate::Ticket> ticket_;
  std::optional<grpc::ByteBuffer> accepted_;  // emptied when it was sent
  std::optional<v1::CheckProgress> progress_;
  std::deque<grpc::ByteBuffer> scenarios_;
  std::optional<grpc::ByteBuffer> completed_;
};

}  // namespace

Call* handle_check(Context& shared, grpc::CallbackServerContext* context) {
  return Call::start(std::make_shared<CheckCall>(shared, context));
}

}  // namespace brakeward::rpc
