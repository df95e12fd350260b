// From metric families to text. Internal to the room.
#pragma once

#include <prometheus/metric_family.h>

#include <string>
#include <vector>

namespace brakeward::metrics {

// Families by name, series by their labels: the library keeps series in no order.
void sort(std::vector<prometheus::MetricFamily>& families);

// Text exposition format 0.0.4.
std::string to_text(const std::vector<prometheus::MetricFamily>& families);

}  // namespace brakeward::metrics
