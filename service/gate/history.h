// Finished runs, events and baselines over a store of opaque rows.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "brakeward/v1/baseline.pb.h"
#include "store/store.h"
#include "verdict/run.h"

namespace brakeward::gate {

// Thread-safe. Every failure of the store is also told to `on_error`, with the operation's name and why.
class History {
 public:
  using OnError = std::function<void(const std::string& operation, const absl::Status& why)>;
  History(std::unique_ptr<store::Store> store, OnError on_error);

  absl::Status keep(const verdict::Run& run, std::int64_t finished_ms);
  absl::StatusOr<verdict::Run> run(const std::string& run_id);

  // The newest run of each event build of a library, newest build first, `limit` at most, and of the oldest
  // build; no builds and no anchor when no run is marked.
  struct Builds {
    std::vector<verdict::Run> newest;
    std::optional<verdict::Run> anchor;
  };
  absl::StatusOr<Builds> builds(const std::string& library, int limit);

  absl::Status keep_baseline(const std::string& library, const v1::Baseline& baseline,
                             const std::string& sha256);
  absl::StatusOr<v1::Baseline> baseline(const std::string& sha256);

  // An event that could not be kept is told to on_error only.
  void note(const std::string& kind, const std::string& subject, const std::string& text);

  store::Store& store() { return *store_; }

 private:
  template <class Outcome>
  Outcome watched(const char* operation, Outcome outcome);

  std::unique_ptr<store::Store> store_;
  OnError on_error_;
};

// Milliseconds since 1970-01-01 UTC, and as RFC 3339 to the millisecond.
std::int64_t now_ms();
std::string rfc3339(std::int64_t ms);

}  // namespace brakeward::gate
