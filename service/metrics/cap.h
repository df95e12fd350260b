// Which series fit on the page. Internal to the room.
#pragma once

#include <prometheus/metric_family.h>

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "metrics/result_series.h"

namespace brakeward::metrics {

// What one library would show.
struct LibrarySeries {
  std::vector<std::shared_ptr<const BuildSeries>> builds;  // newest first, the anchor last
  std::vector<Sample> always;                              // never cut
};

// By name of the library, as the label shows it.
using Libraries = std::map<std::string, LibrarySeries>;

// Families sorted by name, series by labels, at most `most` in all, cut as result_metrics.h says. The counts
// of what was cut, and `always`, are in the sum and never cut themselves.
std::vector<prometheus::MetricFamily> families_within(const Libraries& libraries, int most);

}  // namespace brakeward::metrics
