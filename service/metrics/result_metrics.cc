#include "metrics/result_metrics.h"

#include <prometheus/collectable.h>

#include <mutex>
#include <set>
#include <utility>

#include "document/text.h"
#include "metrics/cap.h"
#include "metrics/drift.h"
#include "metrics/text.h"
#include "verdict/concat.h"

namespace brakeward::metrics {
namespace {

using verdict::concat;
using verdict::Run;

// What is wrong with the run, or nothing.
std::string fault_of(const Run& run) {
  const std::string name = run.run_id.empty() ? "the run" : concat("run ", document::clean(run.run_id));
  if (run.event_build.empty()) {
    return concat(name, " of calibration ", document::clean(run.calibration_name),
                  " is a variant; metrics show event builds only: mark the run as an event build");
  }
  if (run.library_name.empty()) return concat(name, " names no library; metrics tell builds apart by it");
  return "";
}

absl::Status check_runs(std::string_view library, const std::vector<const Run*>& runs) {
  std::string faults;
  for (const Run* run : runs) {
    std::string fault = fault_of(*run);
    if (fault.empty() && run->library_name != library) {
      fault = concat("event build ", document::clean(run->event_build), " is of library ",
                     document::clean(run->library_name), ", not of ", document::clean(library));
    }
    if (!fault.empty()) verdict::append(faults, faults.empty() ? "" : "; ", fault);
  }
  return faults.empty() ? absl::OkStatus() : absl::InvalidArgumentError(faults);
}

// The newest builds, then the anchor unless it is one of them.
std::vector<const Run*> shown_runs(const std::vector<Run>& builds, const Run* anchor) {
  std::vector<const Run*> shown;
  std::set<std::string> seen;
  for (const Run& run : builds) {
    if (static_cast<int>(shown.size()) == kNewestBuilds) break;
    if (seen.insert(document::clean(run.event_build)).second) shown.push_back(&run);
  }
  if (seen.insert(document::clean(anchor->event_build)).second) shown.push_back(anchor);
  return shown;
}

LibrarySeries library_series(const std::vector<Run>& builds, const Run* anchor) {
  LibrarySeries library;
  int not_compared = 0;
  for (const Run* run : shown_runs(builds, anchor)) {
    library.builds.push_back(std::make_shared<const BuildSeries>(series_of(*run, anchor)));
    not_compared += comparable(*run, *anchor) ? 0 : 1;
  }
  library.always.push_back(
      sample("brakeward_drift_builds_not_compared", {document::clean(anchor->library_name)}, not_compared));
  return library;
}

}  // namespace

struct ResultMetrics::Shown : prometheus::Collectable {
  std::vector<prometheus::MetricFamily> Collect() const override { return *now(); }

  // Made when a page is asked for, not at each set(): a service sets its libraries one after the other.
  std::shared_ptr<const std::vector<prometheus::MetricFamily>> now() const {
    const std::lock_guard<std::mutex> lock(mutex);
    if (!families) {
      families = std::make_shared<const std::vector<prometheus::MetricFamily>>(
          families_within(libraries, kMostSeries));
    }
    return families;
  }

  mutable std::mutex mutex;
  Libraries libraries;
  mutable std::shared_ptr<const std::vector<prometheus::MetricFamily>> families;  // null after a change
};

ResultMetrics::ResultMetrics() : shown_(std::make_shared<Shown>()) {}
ResultMetrics::~ResultMetrics() = default;

absl::Status ResultMetrics::set(std::string_view library, const std::vector<Run>& builds,
                                const std::optional<Run>& anchor) {
  std::vector<const Run*> given;
  for (const Run& run : builds) given.push_back(&run);
  if (anchor) given.push_back(&*anchor);
  if (absl::Status status = check_runs(library, given); !status.ok()) return status;
  const std::string label = document::clean(library);
  std::optional<LibrarySeries> series;
  if (!given.empty()) series = library_series(builds, given.back());

  const std::lock_guard<std::mutex> lock(shown_->mutex);
  Libraries& libraries = shown_->libraries;
  if (!series) {
    libraries.erase(label);
  } else {
    if (!libraries.contains(label) && static_cast<int>(libraries.size()) >= kMostLibraries) {
      return absl::ResourceExhaustedError(concat("library ", label, " has no metrics: ", kMostLibraries,
                                                 " libraries are shown at most; serve the others elsewhere"));
    }
    libraries[label] = *std::move(series);
  }
  shown_->families = nullptr;
  return absl::OkStatus();
}

std::string ResultMetrics::page() const {
  return to_text(*shown_->now());
}

std::shared_ptr<prometheus::Collectable> ResultMetrics::collectable() const {
  return shown_;
}

absl::StatusOr<std::string> result_page(const Run& run) {
  if (const std::string fault = fault_of(run); !fault.empty()) return absl::InvalidArgumentError(fault);
  LibrarySeries series;
  series.builds.push_back(std::make_shared<const BuildSeries>(series_of(run, nullptr)));
  return to_text(families_within({{document::clean(run.library_name), std::move(series)}}, kMostSeries));
}

}  // namespace brakeward::metrics
