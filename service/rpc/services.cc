#include "rpc/services.h"

#include <grpcpp/impl/codegen/server_callback_handlers.h>

#include "brakeward/v1/library_service.pb.h"
#include "rpc/check_handler.h"
#include "rpc/library_handler.h"
#include "rpc/replay_handler.h"
#include "rpc/wire.h"

namespace brakeward::rpc {

using Bytes = grpc::ByteBuffer;

void ByteService::add(const std::string& service, const char* method, Start start) {
  const int index = static_cast<int>(names_.size());
  names_.push_back("/" + service + "/" + method);
  AddMethod(new grpc::internal::RpcServiceMethod(names_.back().c_str(),
                                                 grpc::internal::RpcMethod::BIDI_STREAMING, nullptr));
  MarkMethodRawCallback(index, new grpc::internal::CallbackBidiHandler<Bytes, Bytes>(std::move(start)));
}

CheckService::CheckService(Context& shared) {
  add(kCheckService, "Check", [&shared](auto* context) { return handle_check(shared, context); });
  add(kCheckService, "Replay", [&shared](auto* context) { return handle_replay(shared, context); });
}

template <class Request>
void LibraryService::add_answer(Context& shared, const char* method) {
  answers_.push_back([&shared](const Bytes& bytes) -> absl::StatusOr<Bytes> {
    Request request;
    if (absl::Status status = decode(bytes, &request); !status.ok()) return status;
    const auto response = answer(shared.desk, request);
    if (!response.ok()) return response.status();
    return encode(*response);
  });
  add(kLibraryService, method,
      [&shared, &answer = answers_.back()](auto* context) { return handle_unary(shared, context, answer); });
}

LibraryService::LibraryService(Context& shared) {
  add_answer<v1::ListLibrariesRequest>(shared, "ListLibraries");
  add_answer<v1::GetLibraryRequest>(shared, "GetLibrary");
  add_answer<v1::ListScenariosRequest>(shared, "ListScenarios");
  add_answer<v1::GetScenarioRequest>(shared, "GetScenario");
  add_answer<v1::ListCalibrationsRequest>(shared, "ListCalibrations");
  add_answer<v1::GetCalibrationRequest>(shared, "GetCalibration");
  add_answer<v1::ListBaselinesRequest>(shared, "ListBaselines");
  add_answer<v1::GetBaselineRequest>(shared, "GetBaseline");
}

}  // namespace brakeward::rpc
