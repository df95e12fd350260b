#include "unit/rpc/served.h"

#include <stdlib.h>

#include <chrono>
#include <cstdio>
#include <sstream>
#include <thread>

#include "replay/plan.h"

namespace brakeward::rpc {

namespace fs = std::filesystem;

fs::path demo_library() {
  return fs::path(BRAKEWARD_SOURCE_DIR) / "scenarios" / "sorrel";
}

fs::path long_library(const TemporaryFolder& home, int scenarios) {
  const fs::path folder = home.path() / "long";
  fs::copy(demo_library(), folder, fs::copy_options::recursive);
  std::istringstream index(read_file(folder / "library.textproto"));
  std::string kept;
  for (std::string line; std::getline(index, line);) {
    const bool dropped = line.find("baseline_file:") == 0 || line.find("scenario_files:") == 0 ||
                         line.find("campaign_files:") == 0 || line.find("stint_files:") == 0;
    if (line.find("name:") == 0) line = "name: \"long\"";
    if (!dropped) kept += line + "\n";
  }
  const std::string scenario = read_file(folder / "scenarios" / "corrie_downhill.textproto");
  const std::string name = "name: \"corrie_downhill\"";
  const size_t at = scenario.find(name);
  if (at == std::string::npos) std::abort();
  for (int i = 0; i < scenarios; ++i) {
    const std::string other = "again_" + std::to_string(i);
    std::string text = scenario;
    text.replace(at, name.size(), "name: \"" + other + "\"");
    write_file(folder / "scenarios" / (other + ".textproto"), text);
    kept += "scenario_files: \"scenarios/" + other + ".textproto\"\n";
  }
  write_file(folder / "library.textproto", kept);
  return folder;
}

Served::Served(Serving how) {
  auto libraries = gate::Libraries::load(how.libraries, {});
  if (!libraries.ok()) {
    std::fprintf(stderr, "%s\n", libraries.status().ToString().c_str());
    std::abort();
  }
  metrics_ = std::make_shared<metrics::ServiceMetrics>("test", replay::kNumericsVersion, method_names());
  auto store = how.store ? std::move(how.store) : store::open_memory_store();
  auto history = std::make_unique<gate::History>(
      std::move(store),
      [m = metrics_](const std::string& operation, const absl::Status&) { m->store_error(operation); });
  desk_ = std::make_unique<gate::Desk>(*std::move(libraries), std::move(history), metrics_,
                                       std::make_shared<metrics::ResultMetrics>(), how.desk);
  auto server = Server::start(how.server, *desk_, metrics_);
  if (!server.ok()) {
    std::fprintf(stderr, "%s\n", server.status().ToString().c_str());
    std::abort();
  }
  server_ = *std::move(server);
  server_->set_serving(true);
}

Served::~Served() {
  desk_->cancel_all();
  server_.reset();
}

double Served::series(const std::string& name_and_labels) const {
  const std::string page = metrics_->page();
  const size_t at = page.find("\n" + name_and_labels + " ");
  if (at == std::string::npos) return -1;
  return std::stod(page.substr(at + name_and_labels.size() + 2));
}

double Served::requests(const std::string& method, const std::string& code) const {
  return series("brakeward_rpc_requests_total{code=\"" + code + "\",method=\"" + method + "\"}");
}

double Served::requests(const std::string& method) const {
  std::istringstream page(metrics_->page());
  double sum = 0;
  for (std::string line; std::getline(page, line);)
    if (line.find("brakeward_rpc_requests_total{") == 0 &&
        line.find("method=\"" + method + "\"") != line.npos)
      sum += std::stod(line.substr(line.rfind(' ') + 1));
  return sum;
}

bool eventually(const std::function<bool()>& holds) {
  const auto deadline = std::chrono::steady_clock::now() + std::chrono::seconds(30);
  while (!holds()) {
    if (std::chrono::steady_clock::now() > deadline) return false;
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  return true;
}

}  // namespace brakeward::rpc
