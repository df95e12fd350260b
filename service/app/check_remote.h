// A check through a service.
#pragma once

#include <functional>
#include <string>

#include "absl/status/statusor.h"
#include "app/command.h"

namespace brakeward::app {

struct ServerOptions {
  std::string address;                                  // host:port or unix:path; empty: the check runs here
  std::string tls_authority, tls_certificate, tls_key;  // PEM files; without an authority no TLS
  double deadline_s = 600;
};

struct ServerCheck {
  ServerOptions server;
  LibraryOptions library;
  std::string calibration;
  std::string event_build;
  verdict::Tier tier = verdict::Tier::kGate;
  bool require_approved = false;
  std::function<void(size_t done, size_t all)> progress;
};

// What came back: the run, and why the service did not keep it.
struct RemoteRun {
  verdict::Run run;
  std::string notice;  // empty when kept
};

// Loads and checks here what lies here, so that faults read as they do without a service: with a library
// folder everything, else the documents named. Then asks the service. A folder's library must be the one the
// service holds, by content; its name alone is taken on trust. Whether the baseline of such a library is
// approved is known from the run it answers with. Unavailable when no service answers.
absl::StatusOr<RemoteRun> check_at_server(const ServerCheck& check);

}  // namespace brakeward::app
