#include "rpc/interceptor.h"

#include <grpcpp/grpcpp.h>

#include <chrono>
#include <optional>

#include "metrics/declarations.h"
#include "rpc/deadline.h"

namespace brakeward::rpc {
namespace {

using grpc::experimental::InterceptionHookPoints;

// One call. gRPC runs the hooks of a call one at a time.
class Counter : public grpc::experimental::Interceptor {
 public:
  Counter(grpc::experimental::ServerRpcInfo* info, std::shared_ptr<metrics::ServiceMetrics> metrics)
      : context_(dynamic_cast<const grpc::CallbackServerContext*>(info->server_context())),
        deadline_(info->server_context()->deadline()),
        reads_itself_(context_ && info->type() == grpc::experimental::ServerRpcInfo::Type::BIDI_STREAMING),
        method_(method_label(info->method())),
        metrics_(std::move(metrics)) {}

  // A call that never came to its end, as when the server goes away, was cancelled.
  ~Counter() override { count(grpc::StatusCode::CANCELLED); }

  void Intercept(grpc::experimental::InterceptorBatchMethods* methods) override {
    if (methods->QueryInterceptionHookPoint(InterceptionHookPoints::PRE_SEND_STATUS))
      sent_ = methods->GetSendStatus().error_code();
    if (methods->QueryInterceptionHookPoint(InterceptionHookPoints::POST_RECV_MESSAGE))
      was_read_ = was_read_ || methods->GetRecvMessage() != nullptr;
    if (methods->QueryInterceptionHookPoint(InterceptionHookPoints::POST_RECV_CLOSE)) count(final_code());
    methods->Proceed();
  }

 private:
  grpc::StatusCode final_code() const {
    if (sent_ && !(context_ && context_->IsCancelled())) return *sent_;
    if (has_passed(deadline_)) return grpc::StatusCode::DEADLINE_EXCEEDED;
    // gRPC refuses a message that is too large on its own. A caller that goes away between the head of its
    // call and the message looks the same from here.
    return reads_itself_ && !was_read_ ? grpc::StatusCode::RESOURCE_EXHAUSTED : grpc::StatusCode::CANCELLED;
  }

  void count(grpc::StatusCode code) {
    if (counted_) return;
    counted_ = true;
    const auto words = metrics::rpc_code_words();
    const auto number = static_cast<size_t>(code);
    const std::chrono::duration<double> seconds = std::chrono::steady_clock::now() - began_;
    metrics_->rpc_finished(method_, number < words.size() ? words[number] : "UNKNOWN", seconds.count());
  }

  // Null for a call that gRPC answers on a thread of its own (reflection): asking it whether it was cancelled
  // runs these hooks again.
  const grpc::CallbackServerContext* const context_;
  const std::chrono::system_clock::time_point deadline_;
  const bool reads_itself_;  // a method of ours
  const std::string method_;
  const std::shared_ptr<metrics::ServiceMetrics> metrics_;
  const std::chrono::steady_clock::time_point began_ = std::chrono::steady_clock::now();
  std::optional<grpc::StatusCode> sent_;
  bool was_read_ = false;
  bool counted_ = false;
};

}  // namespace

std::string method_label(const std::string& full_name) {
  const size_t slash = full_name.rfind('/');
  if (slash == std::string::npos || slash == 0) return full_name;
  const size_t before = full_name.find_last_of("./", slash - 1);
  return full_name.substr(before == std::string::npos ? 0 : before + 1);
}

grpc::experimental::Interceptor* CountingFactory::CreateServerInterceptor(
    grpc::experimental::ServerRpcInfo* info) {
  return new Counter(info, metrics_);
}

}  // namespace brakeward::rpc
