// Counters of the service itself.
//
// Verdicts and states are enums, so that no word outside the declared labels can reach a page. All series are
// present, at 0, from the start. Thread-safe. Nothing fails and nothing throws.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "verdict/run.h"

namespace prometheus {
class Collectable;
}

namespace brakeward::metrics {

class ServiceMetrics {
 public:
  // `methods`: every RPC served, as the label shows it, for example "CheckService/Check".
  ServiceMetrics(std::string_view version, int numerics, const std::vector<std::string>& methods);
  ~ServiceMetrics();
  ServiceMetrics(const ServiceMetrics&) = delete;
  ServiceMetrics& operator=(const ServiceMetrics&) = delete;

  // A call ended. `code` is the word of its gRPC status; a method that was not announced counts as "other", a
  // code that is no word of gRPC as "UNKNOWN".
  void rpc_finished(std::string_view method, std::string_view code, double seconds);

  // A run ended. One that ended while accepted or running counts as aborted.
  void run_finished(verdict::RunState state, verdict::Verdict verdict, double seconds);

  // Runs waiting and runs being replayed, now.
  void set_runs(int queued, int running);

  // Scenarios replayed that came to this verdict, and the recorded time that went through the model.
  void replays(verdict::Verdict verdict, int count);
  void replayed_seconds(double seconds);

  // An operation of the store failed; `operation` is the name of the function of store::Store.
  void store_error(std::string_view operation);

  // The page as text exposition format 0.0.4, families and series sorted by name.
  std::string page() const;

  // For metrics::Page.
  std::shared_ptr<prometheus::Collectable> collectable() const;

 private:
  struct Series;
  std::shared_ptr<Series> series_;
};

}  // namespace brakeward::metrics
