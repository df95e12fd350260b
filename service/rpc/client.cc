#include "rpc/client.h"

#include <grpcpp/grpcpp.h>

#include "absl/strings/match.h"
#include "brakeward/v1/check_service.grpc.pb.h"
#include "gate/run_message.h"
#include "rpc/address.h"
#include "rpc/errors.h"
#include "rpc/pem.h"
#include "rpc/status.h"

namespace brakeward::rpc {
namespace {

constexpr double kLongestDeadline = 1e9;  // s; longer is as good as none

// Empty for no file.
absl::StatusOr<std::string> pem_of(const std::filesystem::path& file, const char* what) {
  if (file.empty()) return std::string();
  auto text = read_pem(file);
  if (!text.ok() || text->find("-----BEGIN ") != std::string::npos) return text;
  return absl::InvalidArgumentError(file.string() + ": holds no PEM block; give the " + what +
                                    " as a PEM file");
}

absl::StatusOr<std::shared_ptr<grpc::ChannelCredentials>> credentials_of(const Connection& connection) {
  const bool own = !connection.certificate.empty() || !connection.private_key.empty();
  if (connection.certificate.empty() != connection.private_key.empty())
    return absl::InvalidArgumentError(
        "a certificate of one's own and its private key go together; give both or neither");
  if (connection.authority.empty()) {
    if (!own) return grpc::InsecureChannelCredentials();
    return absl::InvalidArgumentError(
        "a certificate of one's own needs the authority of the server's, too; without it calls are "
        "plaintext");
  }
  auto authority = pem_of(connection.authority, "authority of the server's certificate");
  auto certificate = pem_of(connection.certificate, "certificate");
  auto key = pem_of(connection.private_key, "private key");
  for (const auto* text : {&authority, &certificate, &key})
    if (!text->ok()) return text->status();
  return grpc::SslCredentials({*std::move(authority), *std::move(key), *std::move(certificate)});
}

absl::StatusOr<std::shared_ptr<grpc::Channel>> channel_to(const Connection& connection) {
  const auto address = parse_address(connection.address);
  if (!address.ok()) return address.status();
  auto credentials = credentials_of(connection);
  if (!credentials.ok()) return credentials.status();
  grpc::ChannelArguments how;
  how.SetMaxReceiveMessageSize(-1);  // the last message holds the whole run
  how.SetInt(GRPC_ARG_MAX_METADATA_SIZE, static_cast<int>(2 * kMostDetails));
  if (address->is_local()) how.SetInt(GRPC_ARG_ENABLE_HTTP_PROXY, 0);
  return grpc::CreateCustomChannel(connection.address, *credentials, how);
}

v1::CheckRequest request_of(const RemoteCheck& check) {
  v1::CheckRequest request;
  request.set_library(absl::StartsWith(check.library, "libraries/") ? check.library
                                                                    : "libraries/" + check.library);
  request.set_library_sha256(check.library_sha256);
  *request.mutable_calibration() = check.calibration;
  if (check.vehicle) *request.mutable_vehicle() = *check.vehicle;
  if (check.baseline) *request.mutable_baseline() = *check.baseline;
  request.set_event_build(check.event_build);
  request.set_tier(gate::to_message(check.tier));
  return request;
}

absl::Status contradiction(const std::string& what) {
  return absl::InternalError("the service's answer contradicts itself: " + what +
                             "; do not trust this run, and tell whoever runs the service");
}

// Follows one stream and holds it against itself.
class Reader {
 public:
  explicit Reader(const Events& events) : events_(events) {}

  // False when the stream is not worth reading on.
  bool take(const v1::CheckResponse& response) {
    if (status_.ok() && run_) status_ = contradiction("something follows the final run");
    if (!status_.ok()) return false;
    switch (response.event_case()) {
      case v1::CheckResponse::kAccepted: {
        const v1::CheckAccepted& a = response.accepted();
        if (events_.accepted) events_.accepted(a.run_id(), a.replays(), a.runs_ahead());
        break;
      }
      case v1::CheckResponse::kProgress:
        if (events_.progress)
          events_.progress(static_cast<size_t>(response.progress().replays_done()),
                           static_cast<size_t>(response.progress().replays()));
        break;
      case v1::CheckResponse::kScenario:
        take_scenario(response.scenario());
        break;
      case v1::CheckResponse::kCompleted:
        take_completed(response.completed());
        break;
      default:
        break;  // an event of a newer service
    }
    return status_.ok();
  }

  absl::StatusOr<verdict::Run> result() && {
    if (!status_.ok()) return status_;
    if (!run_) return contradiction("the stream ended well without a final run");
    return *std::move(run_);
  }
  const absl::Status& status() const { return status_; }

 private:
  void take_scenario(const v1::ScenarioResult& message) {
    auto result = gate::from_message(message);
    if (!result.ok()) {
      status_ = contradiction(std::string(result.status().message()));
      return;
    }
    streamed_.push_back(message.SerializeAsString());
    if (events_.scenario) events_.scenario(*result);
  }

  void take_completed(const v1::CheckCompleted& completed) {
    auto run = gate::from_message(completed.run());
    if (!run.ok()) {
      status_ = contradiction(std::string(run.status().message()));
      return;
    }
    const auto& scenarios = completed.run().scenarios();
    bool same = scenarios.size() == static_cast<int>(streamed_.size());
    for (int i = 0; same && i < scenarios.size(); ++i)
      same = scenarios[i].SerializeAsString() == streamed_[static_cast<size_t>(i)];
    if (!same) {
      status_ = contradiction("the scenarios of the final run are not those that came one by one");
      return;
    }
    run_ = *std::move(run);
    if (!completed.kept() && events_.notice) events_.notice(completed.notice());
  }

  const Events& events_;
  std::vector<std::string> streamed_;
  std::optional<verdict::Run> run_;
  absl::Status status_;
};

absl::Status failed(const Connection& connection, const grpc::Status& status) {
  const absl::Status plain = from_wire(status);
  if (!status.error_details().empty() || plain.code() != absl::StatusCode::kUnavailable) return plain;
  return absl::UnavailableError("no service answers at " + connection.address + " (" +
                                std::string(plain.message()) +
                                "); see that it runs and that address and certificates are right");
}

}  // namespace

absl::StatusOr<verdict::Run> check(const Connection& connection, const RemoteCheck& request,
                                   const Events& events) {
  const auto channel = channel_to(connection);
  if (!channel.ok()) return channel.status();
  const auto stub = v1::CheckService::NewStub(*channel);
  grpc::ClientContext context;
  context.AddMetadata(kDetailsHeader, std::to_string(kMostDetails));
  if (connection.deadline_s > 0 && connection.deadline_s < kLongestDeadline)
    context.set_deadline(std::chrono::system_clock::now() +
                         std::chrono::microseconds(static_cast<std::int64_t>(connection.deadline_s * 1e6)));
  const auto stream = stub->Check(&context, request_of(request));
  Reader reader(events);
  v1::CheckResponse response;
  while (stream->Read(&response) && reader.take(response)) continue;
  if (!reader.status().ok()) context.TryCancel();
  const grpc::Status status = stream->Finish();
  if (!reader.status().ok()) return reader.status();
  if (!status.ok()) return failed(connection, status);
  return std::move(reader).result();
}

}  // namespace brakeward::rpc
