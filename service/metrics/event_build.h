// What may be shown as an event build. Internal to the room.
#pragma once

#include <prometheus/metric_family.h>

#include <vector>

#include "absl/status/status.h"
#include "verdict/run.h"

namespace brakeward::metrics {

// InvalidArgument for a run that is not marked as an event build or names no library.
absl::Status check_event_build(const verdict::Run& run);

// The families of result_page(); the run must pass check_event_build().
std::vector<prometheus::MetricFamily> families_of_run(const verdict::Run& run);

}  // namespace brakeward::metrics
