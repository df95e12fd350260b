#include "rpc/unary.h"

namespace brakeward::rpc {
namespace {

class UnaryCall : public Call {
 public:
  UnaryCall(Context& shared, grpc::CallbackServerContext* context, const Answer& answer)
      : Call(shared, context, Kind::kShort), answer_(answer) {}

 protected:
  void work() override {
    auto bytes = answer_(request());
    if (bytes.ok()) {
      const auto held = lock();
      answer_bytes_ = *std::move(bytes);
    }
    end(bytes.status());
  }

  bool next(grpc::ByteBuffer* message) override {
    if (!answer_bytes_) return false;
    message->Swap(&*answer_bytes_);
    answer_bytes_.reset();
    return true;
  }

  void stop() override {}

 private:
  const Answer& answer_;                          // of the service
  std::optional<grpc::ByteBuffer> answer_bytes_;  // guarded by lock()
};

}  // namespace

Call* handle_unary(Context& shared, grpc::CallbackServerContext* context, const Answer& answer) {
  return Call::start(std::make_shared<UnaryCall>(shared, context, answer));
}

}  // namespace brakeward::rpc
