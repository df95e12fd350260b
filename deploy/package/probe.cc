// Asks a service for its health, for container engines that know no gRPC: grpc.health.v1, the service as a
// whole.
//   probe ADDRESS      host:port or unix:PATH, plaintext
// Prints the answer. Exit codes: 0 serving, 64 usage, 69 not serving or no answer within 3 s.
#include <grpcpp/grpcpp.h>

#include <chrono>
#include <cstdio>

#include "grpc/health/v1/health.grpc.pb.h"

int main(int argc, char** argv) {
  using grpc::health::v1::HealthCheckResponse;
  if (argc != 2) {
    std::fputs("usage: probe ADDRESS (host:port or unix:PATH)\n", stderr);
    return 64;
  }
  const auto channel = grpc::CreateChannel(argv[1], grpc::InsecureChannelCredentials());
  const auto stub = grpc::health::v1::Health::NewStub(channel);
  grpc::ClientContext context;
  context.set_deadline(std::chrono::system_clock::now() + std::chrono::seconds(3));
  HealthCheckResponse answer;
  const grpc::Status status = stub->Check(&context, {}, &answer);
  if (!status.ok()) {
    std::fprintf(stderr, "probe: %s: %s\n", argv[1], status.error_message().c_str());
    return 69;
  }
  std::printf("%s\n", HealthCheckResponse::ServingStatus_Name(answer.status()).c_str());
  return answer.status() == HealthCheckResponse::SERVING ? 0 : 69;
}
