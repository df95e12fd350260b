// A caller of the service: what `brakeward check --server` uses.
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>

#include "absl/status/statusor.h"
#include "brakeward/v1/baseline.pb.h"
#include "brakeward/v1/calibration.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "verdict/run.h"

namespace brakeward::rpc {

// How to reach a service. Plaintext unless an authority is given.
struct Connection {
  std::string address;                // host:port or unix:<path>
  std::filesystem::path authority;    // PEM: who signed the server's certificate
  std::filesystem::path certificate;  // PEM: this caller's own, for mutual TLS; needs an authority, and a key
  std::filesystem::path private_key;  // PEM
  double deadline_s = 0;              // of a whole call; 0 for none
};

struct RemoteCheck {
  std::string library;         // its name, with or without "libraries/"
  std::string library_sha256;  // empty: whatever content the service holds
  v1::Calibration calibration;
  std::optional<v1::Vehicle> vehicle;
  std::optional<v1::Baseline> baseline;
  std::string event_build;  // empty for a variant
  verdict::Tier tier = verdict::Tier::kGate;
};

// What happens on the way. Called on the caller's own thread; any may be empty.
struct Events {
  std::function<void(const std::string& run_id, int replays, int runs_ahead)> accepted;
  std::function<void(size_t done, size_t all)> progress;         // replays; some are left out
  std::function<void(const verdict::ScenarioResult&)> scenario;  // library order
  std::function<void(const std::string& notice)> notice;         // why the service did not keep the run
};

// Checks a candidate at a service; the run is the one gate::check() would return there, with id and time.
// The status is the service's: its code, and a message with one line a violation,
// "calibration.balance.front_percent: sentence". Unavailable when nobody answers or the call broke off,
// DeadlineExceeded when the deadline passed. Internal when the stream contradicts itself: scenarios out of
// order or unlike those of the final run, no final run, a result hash that does not match. InvalidArgument
// for a PEM file that cannot be read.
absl::StatusOr<verdict::Run> check(const Connection& connection, const RemoteCheck& request,
                                   const Events& events = {});

}  // namespace brakeward::rpc
