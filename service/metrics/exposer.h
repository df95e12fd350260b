// The metrics page over HTTP: GET /metrics.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "absl/status/statusor.h"

namespace prometheus {
class Collectable;
class Exposer;
}  // namespace prometheus

namespace brakeward::metrics {

// Serves until destroyed, on two threads of its own; the destructor waits for them, up to 2 s. Keeps what it
// serves alive. It adds a few families of its own about scrapes (exposer_*).
class Page {
 public:
  // `host`: 127.0.0.1 unless others shall read the page; "localhost", an IPv4 or an IPv6 address (without
  // brackets). `port` 0 picks a free one. `sources`: collectable() of ServiceMetrics and ResultMetrics.
  // InvalidArgument for a host or port that cannot be, Unavailable for an address that is taken or not this
  // machine's; both name it and the remedy.
  static absl::StatusOr<std::unique_ptr<Page>> serve(
      const std::string& host, int port, std::vector<std::shared_ptr<prometheus::Collectable>> sources);
  ~Page();
  Page(const Page&) = delete;
  Page& operator=(const Page&) = delete;

  // The port listened on.
  int port() const;

 private:
  Page();
  std::vector<std::shared_ptr<prometheus::Collectable>> sources_;
  std::unique_ptr<prometheus::Exposer> exposer_;
  int port_ = 0;
};

}  // namespace brakeward::metrics
