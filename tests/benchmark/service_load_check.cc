// A check through the service over the same check in process, by turns within one run. Both replay on every
// processor; the service also reads and checks the request, streams the results and keeps the run.
#include <grpcpp/grpcpp.h>

#include <algorithm>
#include <cstdio>
#include <functional>

#include "absl/status/statusor.h"
#include "benchmark/service_load.h"
#include "benchmark/service_load_service.h"
#include "brakeward/v1/check_service.grpc.pb.h"
#include "gate/check.h"
#include "rpc/client.h"

namespace brakeward::benchmark {
namespace {

constexpr int kRounds = 41;
constexpr double kGoal = 1.05;
constexpr int kTimes = 5;  // every scenario of the demo, as a real library would be that large

struct Answer {
  std::string result_sha256;
  double run_ms = 0;  // as the service itself measured the run
};
using Door = std::function<absl::StatusOr<Answer>()>;

// A tool that keeps its connection.
absl::StatusOr<Answer> check_by(v1::CheckService::Stub& stub, const v1::CheckRequest& request) {
  grpc::ClientContext context;
  v1::CheckResponse event;
  auto reader = stub.Check(&context, request);
  while (reader->Read(&event)) {
  }
  const grpc::Status status = reader->Finish();
  if (!status.ok() || !event.has_completed()) return absl::InternalError(status.error_message());
  return Answer{event.completed().run().result_sha256(), 1000 * event.completed().run().duration_s()};
}

// `brakeward check --server`: a new connection, and the answer held against its hash.
absl::StatusOr<Answer> check_anew(const std::string& address, const rpc::RemoteCheck& request) {
  rpc::Connection connection;
  connection.address = address;
  const auto run = rpc::check(connection, request);
  if (!run.ok()) return run.status();
  return Answer{run->result_sha256, 1000 * run->duration_s};
}

bool compare(const gate::Session& session, const char* what, const Door& door) {
  std::vector<double> inside, outside, ratios, beyond;
  for (int round = 0; round <= kRounds; ++round) {
    const double t0 = now_ms();
    const auto here = gate::check(session, gate::CheckOptions{});
    const double t1 = now_ms();
    const auto there = door();
    const double t2 = now_ms();
    if (!here.ok() || !there.ok() || here->result_sha256 != there->result_sha256) {
      std::printf("WRONG     the service's run is not the one in process: %s %s\n",
                  std::string(here.status().message()).c_str(),
                  std::string(there.status().message()).c_str());
      return false;
    }
    if (round == 0) continue;  // warms up
    inside.push_back(t1 - t0);
    outside.push_back(t2 - t1);
    ratios.push_back((t2 - t1) / (t1 - t0));
    beyond.push_back(t2 - t1 - there->run_ms);
  }
  std::sort(ratios.begin(), ratios.end());
  const double ratio = spread_of(ratios).p50;
  std::printf(
      "check     %-40s in process %5.1f ms, served %5.1f ms of which beyond the run %4.1f ms; ratio %.3f "
      "(middle half %.3f to %.3f); goal < %.2f: %s\n",
      what, spread_of(inside).p50, spread_of(outside).p50, spread_of(beyond).p50, ratio, ratios[kRounds / 4],
      ratios[kRounds * 3 / 4], kGoal, against(ratio < kGoal));
  return true;
}

bool measure_library(const std::string& program, const std::string& library) {
  const gate::Session session = demo_session(library);
  v1::CheckRequest request;
  request.set_library("libraries/sorrel");
  *request.mutable_calibration() = demo_candidate();
  rpc::RemoteCheck remote;
  remote.library = "sorrel";
  remote.calibration = request.calibration();
  const TemporaryFolder folder;
  const std::string address = "address: \"127.0.0.1:0\"\n";
  const std::string store = "store_file: \"" + folder.file("store").string() + "\"\n";
  std::printf("check     %zu scenarios, medians of %d rounds\n", session.library->scenarios.size(), kRounds);
  for (const auto& [what, config] : {std::pair<const char*, std::string>{"history in memory", address},
                                     {"history in a file", address + store}}) {
    const Service service(program, folder, library, config);
    if (!service.is_ready()) return false;
    const auto stub =
        v1::CheckService::NewStub(grpc::CreateChannel(service.address(), grpc::InsecureChannelCredentials()));
    if (!compare(session, (std::string(what) + ", connection kept").c_str(),
                 [&] { return check_by(*stub, request); }) ||
        !compare(session, (std::string(what) + ", connection new").c_str(),
                 [&] { return check_anew(service.address(), remote); }))
      return false;
  }
  return true;
}

}  // namespace

bool measure_check(const std::string& program) {
  const TemporaryFolder folder;
  const std::string enlarged = enlarged_library(program, folder, kTimes);
  if (enlarged.empty()) {
    std::printf("WRONG     the demo library could not be enlarged\n");
    return false;
  }
  return measure_library(program, demo_folder()) && measure_library(program, enlarged);
}

}  // namespace brakeward::benchmark
