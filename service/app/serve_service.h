// The service put together: what is started, in which order, and how it ends.
#pragma once

#include <memory>
#include <string>

#include "absl/status/status.h"
#include "app/serve_config.h"
#include "app/serve_lock.h"
#include "app/serve_signals.h"
#include "app/steps.h"
#include "gate/desk.h"
#include "metrics/exposer.h"
#include "metrics/result_metrics.h"
#include "metrics/service_metrics.h"
#include "rpc/server.h"

namespace brakeward::app {

// Used by one thread, which waits for the signals.
class Service {
 public:
  explicit Service(ServeConfig config);

  // Starts, says so in one line on standard output, serves until a signal asks for the end, stops. OK after a
  // clean stop; otherwise the first failure, which has been logged.
  absl::Status run();

 private:
  void list_steps();
  absl::Status start_metrics();
  absl::Status open_store();
  absl::Status load_libraries();
  absl::Status set_up_desk();
  absl::Status start_rpc();
  absl::Status drain();
  void reload();
  void say_ready() const;

  const ServeConfig config_;
  Signals signals_;
  std::shared_ptr<metrics::ServiceMetrics> service_metrics_;
  std::shared_ptr<metrics::ResultMetrics> result_metrics_;
  std::unique_ptr<metrics::Page> page_;
  std::unique_ptr<StoreLock> store_lock_;
  std::unique_ptr<store::Store> opened_store_;  // until the desk has it
  std::unique_ptr<gate::Libraries> libraries_;  // until the desk has them
  std::unique_ptr<gate::Desk> desk_;
  std::unique_ptr<rpc::Server> server_;
  Steps steps_;
};

}  // namespace brakeward::app
