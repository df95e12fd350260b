// The doors of the service on the wire: CheckService, LibraryService, health and reflection over gRPC.
//
// proto/README.md describes the services and lists every reason an error carries.
#pragma once

#include <chrono>
#include <memory>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "gate/desk.h"
#include "metrics/service_metrics.h"

namespace brakeward::rpc {

// PEM texts.
struct TlsTexts {
  std::string certificate;  // the server's chain
  std::string private_key;  // of the chain's first certificate
  std::string
      client_authority;  // client certificates of this authority are demanded; empty: none is asked for

  bool wanted() const { return !certificate.empty() || !private_key.empty() || !client_authority.empty(); }
};

struct ServerOptions {
  std::string address;                     // host:port (port 0: any free one), [IPv6]:port or unix:<path>
  bool plaintext_beyond_loopback = false;  // take calls without TLS on an address other machines reach
  TlsTexts tls;                            // plaintext when nothing is set
  int message_bytes = 4096 * 1024;         // largest request taken
  int open_streams = 256;                  // Check and Replay calls open at once
  double retry_after_s = 1;                // what a refused caller is told to wait
  bool reflection_beyond_loopback = false;
};

// Every RPC the server answers, as metrics::ServiceMetrics labels it: "CheckService/Check", ...
std::vector<std::string> method_names();

// Thread-safe. The desk must outlive the server. The destructor shuts down at once.
class Server {
 public:
  // Listens; health says NOT_SERVING until set_serving(true). InvalidArgument for an address that cannot be;
  // FailedPrecondition for plaintext beyond loopback that was not asked for, and for certificates that make
  // no server; Unavailable for an address that is taken or not this machine's. All name field and remedy.
  static absl::StatusOr<std::unique_ptr<Server>> start(const ServerOptions& options, gate::Desk& desk,
                                                       std::shared_ptr<metrics::ServiceMetrics> metrics);
  ~Server();
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;

  // Where calls are taken, with the real port.
  std::string address() const;

  // What health answers, for the server ("") and for both services.
  void set_serving(bool serving);

  // From here on Check and Replay are UNAVAILABLE with reason DRAINING; calls under way go on.
  void refuse_new_calls();

  // Refuses new Check and Replay calls, waits for those under way until the deadline, then cancels all calls
  // that are left, and their runs with them; returns when the last one has ended. Nobody who only watches the
  // health is waited for. A second call returns at once.
  void shutdown(std::chrono::system_clock::time_point deadline);

 private:
  struct Parts;
  explicit Server(std::unique_ptr<Parts> parts);
  std::unique_ptr<Parts> parts_;
};

}  // namespace brakeward::rpc
