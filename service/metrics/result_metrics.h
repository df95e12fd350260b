// Results of event builds: what dashboards follow from build to build. A variant never shows here.
//
// A library shows its newest five event builds and its anchor, the oldest one. Series of a library that is
// set again are replaced whole, so that none goes stale. Values that are missing or not finite have no
// series, nor have measures the catalogue does not know; the verdict of the build says why. Text in labels is
// made valid UTF-8 without control characters; of two names that then read the same the first counts.
//
// The page holds at most kMostSeries series over all libraries. When that cuts, whole builds go first, oldest
// first: those furthest back in their library (an anchor is the furthest), of equals the library whose name
// sorts last. When each library has only its newest build left, scenarios go: the least severe verdict first,
// then the last in library order. brakeward_result_series_cut says how many series of which build went.
// Drift is measured against the anchor also when the anchor's own series were cut.
//
// brakeward_drift_ratio: of the scenarios in which the build passed or failed by this measure and the anchor
// has a value, the largest change for the worse from the anchor's value divided by the change allowed to that
// build; negative when every scenario became better; absolute for measures of which either way is worse. Only
// for builds made with the anchor's vehicle and numerics version; brakeward_drift_builds_not_compared counts
// the others. A run does not say which tolerances counted both ways, so a one-way measure under such a
// tolerance drifts the one way here.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "verdict/run.h"

namespace prometheus {
class Collectable;
}

namespace brakeward::metrics {

inline constexpr int kNewestBuilds = 5;
inline constexpr int kMostSeries = 20000;
inline constexpr int kMostLibraries = 500;

// Thread-safe; a page shows a library as it was before set() or after it.
class ResultMetrics {
 public:
  ResultMetrics();
  ~ResultMetrics();
  ResultMetrics(const ResultMetrics&) = delete;
  ResultMetrics& operator=(const ResultMetrics&) = delete;

  // Replaces what is shown of one library. `builds`: runs of its event builds, newest first; of several runs
  // of one build the first counts, and builds beyond the newest five are not looked at. `anchor`: a run of
  // the oldest event build; without one the last of `builds`. No builds and no anchor: the library is
  // forgotten. InvalidArgument, changing nothing, for a run that is no event build or of another library,
  // naming all such; ResourceExhausted beyond kMostLibraries.
  absl::Status set(std::string_view library, const std::vector<verdict::Run>& builds,
                   const std::optional<verdict::Run>& anchor);

  // The page as text exposition format 0.0.4, families and series sorted by name.
  std::string page() const;

  // For metrics::Page.
  std::shared_ptr<prometheus::Collectable> collectable() const;

 private:
  struct Shown;
  std::shared_ptr<Shown> shown_;
};

// One run of an event build as a page of its own, for the text file folder of a node exporter. That reads
// files whose names end in .prom, so the caller must insist on that, and must write the file whole or not at
// all (report::write_file_atomically). No drift: that takes two builds. InvalidArgument for a run that is no
// event build or names no library.
absl::StatusOr<std::string> result_page(const verdict::Run& run);

}  // namespace brakeward::metrics
