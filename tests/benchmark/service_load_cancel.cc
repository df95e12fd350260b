// From a cancelled call to a free worker. Desk and server live in this process, so that the desk itself says
// when its worker is free; the call comes over loopback as any other.
#include <grpcpp/grpcpp.h>

#include <chrono>
#include <cstdio>
#include <thread>

#include "benchmark/service_load.h"
#include "brakeward/v1/check_service.grpc.pb.h"
#include "gate/desk.h"
#include "rpc/server.h"

namespace brakeward::benchmark {
namespace {

constexpr int kRounds = 60;
constexpr double kGoalMs = 100;

struct Bench {
  std::unique_ptr<gate::Desk> desk;
  std::unique_ptr<rpc::Server> server;
};

// One thread a run, so that a run lasts.
Bench set_up() {
  Bench bench;
  auto libraries = gate::Libraries::load({demo_folder()}, {});
  if (!libraries.ok()) return bench;
  auto metrics = std::make_shared<metrics::ServiceMetrics>("load", 1, rpc::method_names());
  gate::DeskLimits limits;
  limits.threads_per_run = 1;
  bench.desk = std::make_unique<gate::Desk>(
      *std::move(libraries),
      std::make_unique<gate::History>(store::open_memory_store(),
                                      [](const std::string&, const absl::Status&) {}),
      metrics, std::make_shared<metrics::ResultMetrics>(), limits);
  rpc::ServerOptions options;
  options.address = "127.0.0.1:0";
  auto server = rpc::Server::start(options, *bench.desk, metrics);
  if (server.ok()) bench.server = *std::move(server);
  return bench;
}

void wait_free(const gate::Desk& desk) {
  while (desk.running() > 0) std::this_thread::sleep_for(std::chrono::microseconds(50));
}

struct Outcome {
  bool right = false;
  double ms = 0;  // of the whole run, or from cancel to free
};

// Runs to the end when `cancel_after_ms` is below 0.
Outcome call(v1::CheckService::Stub& stub, const gate::Desk& desk, const v1::CheckRequest& request,
             double cancel_after_ms) {
  grpc::ClientContext context;
  v1::CheckResponse event;
  auto reader = stub.Check(&context, request);
  if (!reader->Read(&event) || !event.has_accepted()) return {};
  double from = now_ms();
  if (cancel_after_ms >= 0) {
    std::this_thread::sleep_for(std::chrono::duration<double, std::milli>(cancel_after_ms));
    const bool was_running = desk.running() > 0;
    from = now_ms();
    context.TryCancel();
    wait_free(desk);
    const double ms = now_ms() - from;
    while (reader->Read(&event)) {
    }
    return {was_running && reader->Finish().error_code() == grpc::StatusCode::CANCELLED, ms};
  }
  while (reader->Read(&event)) {
  }
  const double ms = now_ms() - from;
  const bool right = reader->Finish().ok() && event.has_completed();
  wait_free(desk);
  return {right, ms};
}

}  // namespace

bool measure_cancel() {
  Bench bench = set_up();
  if (!bench.server) {
    std::printf("WRONG     no server in process\n");
    return false;
  }
  const auto stub = v1::CheckService::NewStub(
      grpc::CreateChannel(bench.server->address(), grpc::InsecureChannelCredentials()));
  v1::CheckRequest request;
  request.set_library("libraries/sorrel");
  *request.mutable_calibration() = demo_candidate();
  const Outcome whole = call(*stub, *bench.desk, request, -1);
  std::vector<double> ms;
  bool right = whole.right;
  for (int round = 0; right && round < kRounds; ++round) {
    const Outcome one = call(*stub, *bench.desk, request, whole.ms * 0.6 * round / kRounds);
    right = one.right;
    ms.push_back(one.ms);
  }
  if (!right) {
    std::printf("WRONG     a call did not end as it should, or its run was over before it was cancelled\n");
    return false;
  }
  const Spread s = spread_of(ms);
  std::printf(
      "cancel    of a run that takes %.0f ms, at 0 to 60 %% of it: free after p50 %.2f ms, max %.2f ms of "
      "%d; "
      "goal < %.0f ms: %s\n",
      whole.ms, s.p50, s.most, kRounds, kGoalMs, against(s.most < kGoalMs));
  return true;
}

}  // namespace brakeward::benchmark
