// Short calls of many callers at once. Two loads: paced, as tools and probes send them, where the latency
// counts from the moment the call was due, so that a stall is not hidden by calls that were not sent
// meanwhile; and as fast as each caller can, which shows the throughput (callers and service share the
// processors).
#include <grpcpp/grpcpp.h>

#include <atomic>
#include <chrono>
#include <cstdio>
#include <functional>
#include <thread>

#include "benchmark/service_load.h"
#include "benchmark/service_load_service.h"
#include "brakeward/v1/library_service.grpc.pb.h"
#include "grpc/health/v1/health.grpc.pb.h"

namespace brakeward::benchmark {
namespace {

constexpr int kCallers = 32;
constexpr double kSeconds = 3;
constexpr double kWarmUpMs = 500;
constexpr double kPaceMs = 40;  // of one caller: 800 calls a second together
constexpr double kGoalMs = 2;   // p99 of the paced load

// A caller of its own: its connection is shared with nobody.
std::shared_ptr<grpc::Channel> connect(const std::string& address) {
  grpc::ChannelArguments arguments;
  arguments.SetInt(GRPC_ARG_USE_LOCAL_SUBCHANNEL_POOL, 1);
  arguments.SetInt(GRPC_ARG_ENABLE_HTTP_PROXY, 0);
  return grpc::CreateCustomChannel(address, grpc::InsecureChannelCredentials(), arguments);
}

// One call on a channel; false when the answer is wrong.
using Call = std::function<bool(const std::shared_ptr<grpc::Channel>&)>;

bool health(const std::shared_ptr<grpc::Channel>& channel) {
  grpc::ClientContext context;
  grpc::health::v1::HealthCheckResponse answer;
  return grpc::health::v1::Health::NewStub(channel)->Check(&context, {}, &answer).ok() &&
         answer.status() == grpc::health::v1::HealthCheckResponse::SERVING;
}

bool list_libraries(const std::shared_ptr<grpc::Channel>& channel) {
  grpc::ClientContext context;
  v1::ListLibrariesResponse answer;
  return v1::LibraryService::NewStub(channel)->ListLibraries(&context, {}, &answer).ok() &&
         answer.libraries_size() == 1 && answer.libraries(0).name() == "libraries/sorrel";
}

bool list_scenarios(const std::shared_ptr<grpc::Channel>& channel) {
  grpc::ClientContext context;
  v1::ListScenariosRequest request;
  v1::ListScenariosResponse answer;
  request.set_parent("libraries/sorrel");
  return v1::LibraryService::NewStub(channel)->ListScenarios(&context, request, &answer).ok() &&
         answer.scenarios_size() > 10 &&
         answer.scenarios(0).name().rfind("libraries/sorrel/scenarios/", 0) == 0;
}

void sleep_until(double ms) {
  std::this_thread::sleep_for(std::chrono::duration<double, std::milli>(ms - now_ms()));
}

// Latencies of one caller after the warm-up; `pace_ms` 0 for as fast as it can.
std::vector<double> call_for_a_while(const std::string& address, const Call& call, int caller, double pace_ms,
                                     std::atomic<bool>& right) {
  std::vector<double> out;
  const auto channel = connect(address);
  if (!call(channel)) right = false;
  const double begin = now_ms(), timed = begin + kWarmUpMs, end = timed + 1000 * kSeconds;
  // Callers are spread over the pace and do not tick together.
  double due = begin + pace_ms * caller / kCallers;
  while (right && now_ms() < end) {
    if (pace_ms > 0) sleep_until(due);
    const double from = pace_ms > 0 ? due : now_ms();
    if (!call(channel)) right = false;
    if (from >= timed) out.push_back(now_ms() - from);
    due += pace_ms;
  }
  return out;
}

bool measure(const std::string& address, const char* door, const char* name, const Call& call,
             double pace_ms) {
  std::vector<std::vector<double>> each(kCallers);
  std::atomic<bool> right{true};
  std::vector<std::thread> callers;
  for (int i = 0; i < kCallers; ++i)
    callers.emplace_back(
        [&, i] { each[static_cast<size_t>(i)] = call_for_a_while(address, call, i, pace_ms, right); });
  for (auto& caller : callers) caller.join();
  std::vector<double> all;
  for (const auto& one : each) all.insert(all.end(), one.begin(), one.end());
  if (!right || all.empty()) {
    std::printf("WRONG     %s over %s: a call failed or its answer is not what is held\n", name, door);
    return false;
  }
  const Spread s = spread_of(all);
  std::printf("latency   %-14s %-9s %2d callers %-8s %7.0f calls/s  p50 %6.3f ms  p99 %6.3f ms  max %7.3f ms",
              name, door, kCallers, pace_ms > 0 ? "paced" : "flat out",
              static_cast<double>(all.size()) / kSeconds, s.p50, s.p99, s.most);
  if (pace_ms > 0) std::printf("  goal p99 < %g ms: %s", kGoalMs, against(s.p99 < kGoalMs));
  std::printf("\n");
  return true;
}

// One caller alone: what a call costs without waiting for anybody.
bool measure_alone(const std::string& address, const char* door, const char* name, const Call& call) {
  const auto channel = connect(address);
  std::vector<double> all;
  for (int i = 0; i < 2500; ++i) {
    const double from = now_ms();
    if (!call(channel)) {
      std::printf("WRONG     %s over %s: a call failed or its answer is not what is held\n", name, door);
      return false;
    }
    if (i >= 500) all.push_back(now_ms() - from);
  }
  const Spread s = spread_of(all);
  std::printf("latency   %-14s %-9s  1 caller  alone             p50 %6.3f ms  p99 %6.3f ms  max %7.3f ms\n",
              name, door, s.p50, s.p99, s.most);
  return true;
}

}  // namespace

bool measure_latency(const std::string& program) {
  const TemporaryFolder folder;
  const std::string socket = "unix:" + folder.file("socket").string();
  const std::pair<const char*, std::string> doors[] = {{"loopback", "127.0.0.1:0"}, {"socket", socket}};
  const std::pair<const char*, Call> calls[] = {
      {"health", health}, {"ListLibraries", list_libraries}, {"ListScenarios", list_scenarios}};
  for (const auto& [door, address] : doors) {
    const Service service(program, folder, demo_folder(), "address: \"" + address + "\"\n");
    if (!service.is_ready()) return false;
    for (const auto& [name, call] : calls)
      if (!measure_alone(service.address(), door, name, call) ||
          !measure(service.address(), door, name, call, kPaceMs) ||
          !measure(service.address(), door, name, call, 0))
        return false;
  }
  return true;
}

}  // namespace brakeward::benchmark
