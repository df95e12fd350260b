#include "rpc/server.h"

#include <google/protobuf/stubs/logging.h>
#include <grpc/support/log.h>
#include <grpcpp/ext/proto_server_reflection_plugin.h>
#include <grpcpp/grpcpp.h>
#include <grpcpp/health_check_service_interface.h>
#include <grpcpp/impl/server_builder_option.h>
#include <sys/stat.h>

#include <cstdlib>
#include <mutex>

#include "brakeward/v1/check_service.pb.h"
#include "brakeward/v1/library_service.pb.h"
#include "grpc/health/v1/health.pb.h"
#include "rpc/address.h"
#include "rpc/context.h"
#include "rpc/interceptor.h"
#include "rpc/services.h"

namespace brakeward::rpc {
namespace {

constexpr const char* kServices[] = {kCheckService, kLibraryService};
// Calls of one connection beyond its streams: library, health, reflection.
constexpr int kOtherCalls = 64;
// How long calls that are no streams may go on once a stop has come to its end.
constexpr std::chrono::milliseconds kLastCalls{200};

// gRPC's reflection comes with its library, to every server; this takes it out of one.
class NoReflection : public grpc::ServerBuilderOption {
 public:
  void UpdateArguments(grpc::ChannelArguments*) override {}
  void UpdatePlugins(std::vector<std::unique_ptr<grpc::ServerBuilderPlugin>>* plugins) override {
    const std::string reflection = grpc::reflection::ProtoServerReflectionPlugin().name();
    std::erase_if(*plugins, [&](const auto& plugin) { return plugin->name() == reflection; });
  }
};

// gRPC and protobuf write to standard error on their own when a caller's handshake fails or its text is no
// UTF-8: callers could fill the log.
void keep_grpc_quiet(gpr_log_func_args*) {}

void set_up_once() {
  static std::once_flag once;
  std::call_once(once, [] {
    if (!std::getenv("GRPC_VERBOSITY")) gpr_set_log_function(keep_grpc_quiet);
    google::protobuf::SetLogHandler(nullptr);
    grpc::EnableDefaultHealthCheckService(true);
    // Links the health service's descriptor, so that reflection can describe what it lists.
    (void)grpc::health::v1::HealthCheckRequest::descriptor();
  });
}

absl::Status check_options(const ServerOptions& options, const Address& address) {
  const TlsTexts& tls = options.tls;
  if (tls.wanted() && (tls.certificate.empty() || tls.private_key.empty()))
    return absl::FailedPreconditionError(std::string("tls.") +
                                         (tls.certificate.empty() ? "certificate_file" : "private_key_file") +
                                         ": is missing; TLS needs a certificate and its private key");
  if (tls.wanted() || options.plaintext_beyond_loopback) return absl::OkStatus();
  const std::string fault = plaintext_fault(address);
  return fault.empty() ? absl::OkStatus() : absl::FailedPreconditionError("address: " + fault);
}

std::shared_ptr<grpc::ServerCredentials> credentials_of(const TlsTexts& tls) {
  if (!tls.wanted()) return grpc::InsecureServerCredentials();
  const bool mutual = !tls.client_authority.empty();
  grpc::SslServerCredentialsOptions how(mutual ? GRPC_SSL_REQUEST_AND_REQUIRE_CLIENT_CERTIFICATE_AND_VERIFY
                                               : GRPC_SSL_DONT_REQUEST_CLIENT_CERTIFICATE);
  how.pem_key_cert_pairs.push_back({tls.private_key, tls.certificate});
  how.pem_root_certs = tls.client_authority;
  return grpc::SslServerCredentials(how);
}

absl::Status not_started(const ServerOptions& options, const Address& address) {
  const std::string fault = listen_fault(address);
  if (fault.empty() && options.tls.wanted())
    return absl::FailedPreconditionError(
        "tls: gRPC takes no server from these certificates; give PEM files of a certificate chain and the "
        "private key of its first certificate");
  return absl::UnavailableError("address: cannot listen at " + options.address + ": " +
                                (fault.empty() ? "the system refused it" : fault) +
                                "; stop the program that has it or take another address");
}

}  // namespace

struct Server::Parts {
  Parts(const ServerOptions& options, gate::Desk& desk)
      : context(desk, options.open_streams, options.retry_after_s), check(context), library(context) {}

  Address address;
  Context context;
  CheckService check;
  LibraryService library;
  std::unique_ptr<grpc::Server> server;
  std::once_flag stopped;
};

Server::Server(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}

Server::~Server() {
  shutdown(std::chrono::system_clock::now());
}

absl::StatusOr<std::unique_ptr<Server>> Server::start(const ServerOptions& options, gate::Desk& desk,
                                                      std::shared_ptr<metrics::ServiceMetrics> metrics) {
  auto parts = std::make_unique<Parts>(options, desk);
  const auto parsed = parse_address(options.address);
  if (!parsed.ok()) return absl::InvalidArgumentError("address: " + std::string(parsed.status().message()));
  Address& address = parts->address = *parsed;
  if (absl::Status status = check_options(options, address); !status.ok()) return status;
  if (absl::Status status = check_socket(address); !status.ok()) return status;
  set_up_once();
  int port = 0;
  grpc::ServerBuilder builder;
  builder.AddListeningPort(options.address, credentials_of(options.tls), &port);
  builder.AddChannelArgument(GRPC_ARG_ALLOW_REUSEPORT, 0);
  builder.AddChannelArgument(GRPC_ARG_MAX_CONCURRENT_STREAMS, options.open_streams + kOtherCalls);
  // A caller whose machine is gone is noticed, and its run stopped.
  builder.AddChannelArgument(GRPC_ARG_KEEPALIVE_TIME_MS, 60'000);
  builder.AddChannelArgument(GRPC_ARG_KEEPALIVE_TIMEOUT_MS, 20'000);
  builder.SetMaxReceiveMessageSize(options.message_bytes);
  builder.RegisterService(&parts->check);
  builder.RegisterService(&parts->library);
  if (!address.is_local() && !options.reflection_beyond_loopback)
    builder.SetOption(std::make_unique<NoReflection>());
  std::vector<std::unique_ptr<grpc::experimental::ServerInterceptorFactoryInterface>> creators;
  creators.push_back(std::make_unique<CountingFactory>(std::move(metrics)));
  builder.experimental().SetInterceptorCreators(std::move(creators));
  parts->server = builder.BuildAndStart();
  if (!parts->server) return not_started(options, address);
  address.port = port;
  // Whoever may write to a socket may call: its owner and group.
  if (!address.socket.empty()) ::chmod(address.socket.c_str(), 0660);
  std::unique_ptr<Server> server(new Server(std::move(parts)));
  server->set_serving(false);
  return server;
}

std::string Server::address() const {
  return parts_->address.text();
}

void Server::set_serving(bool serving) {
  grpc::HealthCheckServiceInterface* health = parts_->server->GetHealthCheckService();
  health->SetServingStatus("", serving);
  for (const char* name : kServices) health->SetServingStatus(name, serving);
}

void Server::refuse_new_calls() {
  parts_->context.draining = true;
}

void Server::shutdown(std::chrono::system_clock::time_point deadline) {
  std::call_once(parts_->stopped, [&] {
    refuse_new_calls();
    parts_->context.streams.wait_none(deadline);
    parts_->server->Shutdown(std::min(deadline, std::chrono::system_clock::now() + kLastCalls));
  });
}

std::vector<std::string> method_names() {
  // Links the services' descriptors.
  (void)v1::CheckRequest::descriptor();
  (void)v1::ListLibrariesRequest::descriptor();
  std::vector<std::string> names;
  for (const char* service : kServices) {
    const auto* type = google::protobuf::DescriptorPool::generated_pool()->FindServiceByName(service);
    for (int i = 0; i < type->method_count(); ++i)
      names.push_back(type->name() + "/" + type->method(i)->name());
  }
  for (const char* name : {"Health/Check", "Health/Watch", "ServerReflection/ServerReflectionInfo"})
    names.push_back(name);
  return names;
}

}  // namespace brakeward::rpc
