// The two services: each method decodes, has a handler work, encodes.
#pragma once

#include <grpcpp/grpcpp.h>

#include "brakeward/v1/check_service.grpc.pb.h"
#include "brakeward/v1/library_service.grpc.pb.h"
#include "rpc/check_handler.h"
#include "rpc/context.h"
#include "rpc/library_handler.h"
#include "rpc/replay_handler.h"
#include "rpc/unary.h"
#include "rpc/wire.h"

namespace brakeward::rpc {

class CheckServiceImpl : public v1::CheckService::WithRawCallbackMethod_Check<
                             v1::CheckService::WithRawCallbackMethod_Replay<v1::CheckService::Service>> {
 public:
  explicit CheckServiceImpl(Context& shared) : shared_(shared) {}

  grpc::ServerWriteReactor<grpc::ByteBuffer>* Check(grpc::CallbackServerContext* context,
                                                    const grpc::ByteBuffer* request) override {
    return handle_check(shared_, context, request);
  }
  grpc::ServerWriteReactor<grpc::ByteBuffer>* Replay(grpc::CallbackServerContext* context,
                                                     const grpc::ByteBuffer* request) override {
    return handle_replay(shared_, context, request);
  }

 private:
  Context& shared_;
};

namespace raw {
using Service = v1::LibraryService::Service;
using Baselines = v1::LibraryService::WithRawCallbackMethod_ListBaselines<
    v1::LibraryService::WithRawCallbackMethod_GetBaseline<Service>>;
using Calibrations = v1::LibraryService::WithRawCallbackMethod_ListCalibrations<
    v1::LibraryService::WithRawCallbackMethod_GetCalibration<Baselines>>;
using Scenarios = v1::LibraryService::WithRawCallbackMethod_ListScenarios<
    v1::LibraryService::WithRawCallbackMethod_GetScenario<Calibrations>>;
using Libraries = v1::LibraryService::WithRawCallbackMethod_ListLibraries<
    v1::LibraryService::WithRawCallbackMethod_GetLibrary<Scenarios>>;
}  // namespace raw

class LibraryServiceImpl : public raw::Libraries {
 public:
  explicit LibraryServiceImpl(Context& shared) : shared_(shared) {}

  using Reactor = grpc::ServerUnaryReactor;
  using ContextOfCall = grpc::CallbackServerContext;
  using Bytes = grpc::ByteBuffer;

  Reactor* ListLibraries(ContextOfCall* call, const Bytes* in, Bytes* out) override {
    return handle<v1::ListLibrariesRequest>(call, in, out);
  }
  Reactor* GetLibrary(ContextOfCall* call, const Bytes* in, Bytes* out) override {
    return handle<v1::GetLibraryRequest>(call, in, out);
  }
  Reactor* ListScenarios(ContextOfCall* call, const Bytes* in, Bytes* out) override {
    return handle<v1::ListScenariosRequest>(call, in, out);
  }
  Reactor* GetScenario(ContextOfCall* call, const Bytes* in, Bytes* out) override {
    return handle<v1::GetScenarioRequest>(call, in, out);
  }
  Reactor* ListCalibrations(ContextOfCall* call, const Bytes* in, Bytes* out) override {
    return handle<v1::ListCalibrationsRequest>(call, in, out);
  }
  Reactor* GetCalibration(ContextOfCall* call, const Bytes* in, Bytes* out) override {
    return handle<v1::GetCalibrationRequest>(call, in, out);
  }
  Reactor* ListBaselines(ContextOfCall* call, const Bytes* in, Bytes* out) override {
    return handle<v1::ListBaselinesRequest>(call, in, out);
  }
  Reactor* GetBaseline(ContextOfCall* call, const Bytes* in, Bytes* out) override {
    return handle<v1::GetBaselineRequest>(call, in, out);
  }

 private:
  template <class Request>
  Reactor* handle(ContextOfCall* call, const Bytes* in, Bytes* out) {
    return handle_unary(shared_, call, out, [this, in]() -> absl::StatusOr<Bytes> {
      Request request;
      if (absl::Status status = decode(*in, &request); !status.ok()) return status;
      const auto response = answer(shared_.desk, request);
      if (!response.ok()) return response.status();
      return encode(*response);
    });
  }

  Context& shared_;
};

}  // namespace brakeward::rpc
