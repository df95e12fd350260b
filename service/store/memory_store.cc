#include <iterator>
#include <map>
#include <mutex>
#include <unordered_map>
#include <unordered_set>

#include "store/check.h"
#include "store/page_token.h"
#include "store/store.h"

namespace brakeward::store {
namespace {

template <class Row>
using Rows = std::map<Position, Row>;

template <class Row>
bool wanted(const Row& row, const Query& query) {
  if (!query.library.empty() && row.library != query.library) return false;
  if (query.event_build == "*") return !row.event_build.empty();
  return query.event_build.empty() || row.event_build == query.event_build;
}

bool wanted(const EventRow&, const Query&) {
  return true;
}

RunRow listed(const RunRow& row) {
  return {row.run_id,  row.finished_ms,   row.library, row.event_build, row.calibration_name, row.state,
          row.verdict, row.result_sha256, {}};
}

BaselineRow listed(const BaselineRow& row) {
  return {row.sha256, row.kept_ms, row.library, row.event_build, {}};
}

EventRow listed(const EventRow& row) {
  return row;
}

template <class Row>
absl::StatusOr<Page<Row>> page_of(const Rows<Row>& rows, const Query& query, const std::string& list) {
  if (absl::Status fault = check_page_size(query.page_size); !fault.ok()) return fault;
  const std::string scope = list_scope(list, query);
  absl::StatusOr<Position> start = page_start(scope, query.page_token);
  if (!start.ok()) return start.status();
  Page<Row> page;
  Position last;
  for (auto row = std::make_reverse_iterator(rows.lower_bound(*start)); row != rows.rend(); ++row) {
    if (!wanted(row->second, query)) continue;
    if (page.rows.size() == static_cast<std::size_t>(query.page_size)) {
      page.next_page_token = page_token(scope, last);
      break;
    }
    page.rows.push_back(listed(row->second));
    last = row->first;
  }
  return page;
}

class MemoryStore final : public Store {
 public:
  absl::Status put_run(const RunRow& run) override {
    if (absl::Status fault = check(run); !fault.ok()) return fault;
    const std::lock_guard lock(mutex_);
    const auto kept = run_places_.find(run.run_id);
    if (kept != run_places_.end()) return kept_already(runs_.at(kept->second), run);
    const Position place{run.finished_ms, static_cast<std::int64_t>(runs_.size()) + 1};
    runs_.emplace(place, run);
    run_places_.emplace(run.run_id, place);
    return absl::OkStatus();
  }

  absl::StatusOr<RunRow> get_run(const std::string& run_id) override {
    const std::lock_guard lock(mutex_);
    const auto kept = run_places_.find(run_id);
    if (kept == run_places_.end()) return no_run(run_id);
    return runs_.at(kept->second);
  }

  absl::StatusOr<Page<RunRow>> list_runs(const Query& query) override {
    const std::lock_guard lock(mutex_);
    return page_of(runs_, query, "run");
  }

  absl::StatusOr<std::vector<RunRow>> newest_of_builds(const std::string& library, int limit) override {
    if (absl::Status fault = check_limit(limit); !fault.ok()) return fault;
    const std::lock_guard lock(mutex_);
    std::vector<RunRow> newest;
    std::unordered_set<std::string> seen;
    for (auto run = runs_.rbegin(); run != runs_.rend(); ++run) {
      if (newest.size() == static_cast<std::size_t>(limit)) break;
      const RunRow& row = run->second;
      if (row.library != library || row.event_build.empty()) continue;
      if (seen.insert(row.event_build).second) newest.push_back(row);
    }
    return newest;
  }

  absl::StatusOr<RunRow> anchor_build(const std::string& library) override {
    const std::lock_guard lock(mutex_);
    const RunRow* anchor = nullptr;
    for (const auto& [place, row] : runs_) {
      if (row.library != library || row.event_build.empty()) continue;
      if (anchor == nullptr || row.event_build == anchor->event_build) anchor = &row;
    }
    if (anchor == nullptr) return no_build(library);
    return *anchor;
  }

  absl::StatusOr<std::int64_t> count_runs() override {
    const std::lock_guard lock(mutex_);
    return static_cast<std::int64_t>(runs_.size());
  }

  absl::Status put_event(const EventRow& event) override {
    if (absl::Status fault = check(event); !fault.ok()) return fault;
    const std::lock_guard lock(mutex_);
    EventRow row = event;
    row.sequence = static_cast<std::int64_t>(events_.size()) + 1;
    events_.emplace(Position{0, row.sequence}, row);
    return absl::OkStatus();
  }

  absl::StatusOr<Page<EventRow>> list_events(int page_size, const std::string& page_token) override {
    const std::lock_guard lock(mutex_);
    return page_of(events_, Query{{}, {}, page_size, page_token}, "event");
  }

  absl::Status put_baseline(const BaselineRow& baseline) override {
    if (absl::Status fault = check(baseline); !fault.ok()) return fault;
    const std::lock_guard lock(mutex_);
    const auto kept = baseline_places_.find(baseline.sha256);
    if (kept != baseline_places_.end()) return kept_already(baselines_.at(kept->second), baseline);
    const Position place{baseline.kept_ms, static_cast<std::int64_t>(baselines_.size()) + 1};
    baselines_.emplace(place, baseline);
    baseline_places_.emplace(baseline.sha256, place);
    return absl::OkStatus();
  }

  absl::StatusOr<BaselineRow> get_baseline(const std::string& sha256) override {
    const std::lock_guard lock(mutex_);
    const auto kept = baseline_places_.find(sha256);
    if (kept == baseline_places_.end()) return no_baseline(sha256);
    return baselines_.at(kept->second);
  }

  absl::StatusOr<Page<BaselineRow>> list_baselines(const Query& query) override {
    const std::lock_guard lock(mutex_);
    return page_of(baselines_, query, "baseline");
  }

  absl::Status checkpoint() override { return absl::OkStatus(); }

 private:
  std::mutex mutex_;  // guards all below
  Rows<RunRow> runs_;
  std::unordered_map<std::string, Position> run_places_;
  Rows<EventRow> events_;
  Rows<BaselineRow> baselines_;
  std::unordered_map<std::string, Position> baseline_places_;
};

}  // namespace

std::unique_ptr<Store> open_memory_store() {
  return std::make_unique<MemoryStore>();
}

}  // namespace brakeward::store
