#include "app/serve_service.h"

#include <unistd.h>

#include <algorithm>
#include <cstdio>

#include "app/command.h"
#include "app/log.h"
#include "replay/replay.h"
#include "verdict/concat.h"

namespace brakeward::app {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;

constexpr milliseconds kGlance = milliseconds(20);  // between two looks at the signals while runs drain
constexpr milliseconds kCancelling = seconds(5);    // cancelled runs end within 100 ms each
constexpr milliseconds kFarewell = seconds(3);      // for answers that are still being read

[[noreturn]] void give_up(const Step& step) {
  say(Level::kError, step.name, "does not end; giving up");
  ::_exit(kUnavailable);
}

}  // namespace

Service::Service(ServeConfig config)
    : config_(std::move(config)),
      service_metrics_(std::make_shared<metrics::ServiceMetrics>(BRAKEWARD_VERSION, replay::kNumericsVersion,
                                                                 rpc::method_names())),
      result_metrics_(std::make_shared<metrics::ResultMetrics>()),
      steps_(give_up) {
  list_steps();
}

// The order is the one in which things need each other; the metrics page goes up first because it comes down
// last, so that the end can be watched.
void Service::list_steps() {
  const auto ok = [](auto act) {
    return [act](Clock::time_point) {
      act();
      return absl::OkStatus();
    };
  };
  steps_.add({"signals", [this] { return signals_.block(), absl::OkStatus(); }, nullptr});
  steps_.add({"metrics page", [this] { return start_metrics(); }, ok([this] { page_.reset(); })});
  steps_.add(
      {"store", [this] { return open_store(); },
       [this](Clock::time_point) { return desk_ ? desk_->history().store().checkpoint() : absl::OkStatus(); },
       seconds(60), seconds(30)});
  steps_.add({"libraries", [this] { return load_libraries(); }, nullptr, seconds(600)});
  steps_.add({"desk", [this] { return set_up_desk(); },
              ok([this] { desk_->history().note("stop", "", "the service stops"); }), seconds(120)});
  steps_.add({"rpc server", [this] { return start_rpc(); },
              ok([this] { server_->shutdown(std::chrono::system_clock::now() + kFarewell); })});
  steps_.add({"runs", nullptr, [this](Clock::time_point) { return drain(); }, seconds(1),
              config_.drain + 2 * kCancelling});
  steps_.add({"health", [this] { return server_->set_serving(true), absl::OkStatus(); },
              ok([this] { server_->set_serving(false); })});
}

absl::Status Service::run() {
  if (absl::Status status = steps_.start(); !status.ok()) return status;
  say_ready();
  while (signals_.wait() == Signals::Wish::kReload) reload();
  say(Level::kInfo, "service", "asked to stop");
  return steps_.stop();
}

absl::Status Service::start_metrics() {
  if (!config_.metrics) return absl::OkStatus();
  auto page = metrics::Page::serve(config_.metrics->host, config_.metrics->port,
                                   {service_metrics_->collectable(), result_metrics_->collectable()});
  if (!page.ok()) return page.status();
  page_ = *std::move(page);
  return absl::OkStatus();
}

absl::Status Service::open_store() {
  if (config_.store_file.empty()) {
    say(Level::kWarning, "store", "store_file is not set: history is kept in memory and lost at stop");
    opened_store_ = store::open_memory_store();
    return absl::OkStatus();
  }
  auto lock = StoreLock::take(config_.store_file);
  if (!lock.ok()) return lock.status();
  store_lock_ = *std::move(lock);
  auto store = store::open_sqlite_store(config_.store_file, store::Access::kReadWrite);
  if (!store.ok()) return store.status();
  opened_store_ = *std::move(store);
  return absl::OkStatus();
}

absl::Status Service::load_libraries() {
  auto libraries = gate::Libraries::load(config_.library_folders, config_.recordings_folder);
  if (!libraries.ok()) return libraries.status();
  libraries_ = *std::move(libraries);
  return absl::OkStatus();
}

absl::Status Service::set_up_desk() {
  const auto tell = [metrics = service_metrics_](const std::string& operation, const absl::Status& why) {
    metrics->store_error(operation);
    say(Level::kError, "store", operation + ": " + std::string(why.message()));
  };
  auto history = std::make_unique<gate::History>(std::move(opened_store_), tell);
  desk_ = std::make_unique<gate::Desk>(std::move(libraries_), std::move(history), service_metrics_,
                                       result_metrics_, config_.limits);
  desk_->history().note("start", "", "brakeward " BRAKEWARD_VERSION);
  return absl::OkStatus();
}

absl::Status Service::start_rpc() {
  rpc::ServerOptions options;
  options.address = config_.address.text();
  options.plaintext_beyond_loopback = config_.plaintext_beyond_loopback;
  options.tls = config_.tls;
  options.message_bytes = config_.message_kib * 1024;
  options.open_streams = config_.open_streams;
  options.retry_after_s = std::chrono::duration<double>(config_.retry_after).count();
  options.reflection_beyond_loopback = config_.reflection_beyond_loopback;
  auto server = rpc::Server::start(options, *desk_, service_metrics_);
  if (!server.ok()) return server.status();
  server_ = *std::move(server);
  return absl::OkStatus();
}

absl::Status Service::drain() {
  server_->refuse_new_calls();
  desk_->close();
  const auto until = Clock::now() + config_.drain;
  bool hurried = false;
  while (!hurried && Clock::now() < until && !desk_->drain(std::min(until, Clock::now() + kGlance)))
    hurried = signals_.asked_to_stop_again();
  if (desk_->drain(Clock::now())) return absl::OkStatus();
  say(Level::kWarning, "runs",
      verdict::concat(hurried ? "asked to stop again" : "drain_s is over", ": cancelling ", desk_->running(),
                      " running and ", desk_->waiting(), " waiting"));
  desk_->cancel_all();
  desk_->drain(Clock::now() + kCancelling);
  return absl::OkStatus();
}

void Service::reload() {
  for (const auto& outcome : desk_->reload()) {
    const std::string subject = "library " + outcome.name;
    if (outcome.status.ok()) {
      say(Level::kInfo, subject, outcome.changed ? "loaded anew" : "is as it was");
    } else {
      say(subject, outcome.status);
      say(Level::kError, subject, outcome.folder.string() + " is refused; the content loaded before stays");
    }
  }
}

void Service::say_ready() const {
  std::string metrics = "off";
  if (page_ && config_.metrics) {
    rpc::Address address = *config_.metrics;
    address.port = page_->port();
    metrics = address.text();
  }
  print("ready: rpc " + server_->address() + ", metrics " + metrics + "\n");
  std::fflush(stdout);
}

}  // namespace brakeward::app
