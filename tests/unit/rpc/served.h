// A service in this process, on a free loopback port, over the demo library or a changed copy of it.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <string>

#include "files.h"
#include "gate/desk.h"
#include "rpc/server.h"
#include "temporary_folder.h"

namespace brakeward::rpc {

using tests::read_file;
using tests::TemporaryFolder;
using tests::write_file;

std::filesystem::path demo_library();

// A copy of the demo library named "long", without a baseline, whose one scenario stands in it many times
// over.
std::filesystem::path long_library(const TemporaryFolder& home, int scenarios);

struct Serving {
  ServerOptions server;
  gate::DeskLimits desk;
  std::vector<std::filesystem::path> libraries = {demo_library()};
  std::unique_ptr<store::Store> store;  // in memory when null

  Serving() { server.address = "127.0.0.1:0"; }
};

// Aborts the test program when it cannot start.
class Served {
 public:
  explicit Served(Serving how = {});
  ~Served();

  gate::Desk& desk() { return *desk_; }
  Server& server() { return *server_; }
  metrics::ServiceMetrics& metrics() { return *metrics_; }
  void stop_server() { server_.reset(); }

  // Value of a series of the metrics page, for example brakeward_rpc_requests_total{...}; -1 when missing.
  double series(const std::string& name_and_labels) const;
  // Of brakeward_rpc_requests_total over all codes of a method, and over everything.
  double requests(const std::string& method) const;
  double requests(const std::string& method, const std::string& code) const;

 private:
  std::shared_ptr<metrics::ServiceMetrics> metrics_;
  std::unique_ptr<gate::Desk> desk_;
  std::unique_ptr<Server> server_;
};

// True once `holds` does; false after a deadline far beyond what is needed.
bool eventually(const std::function<bool()>& holds);

}  // namespace brakeward::rpc
