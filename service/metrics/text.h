// From metric families to text, and text fit for a label. Internal to the room.
#pragma once

#include <prometheus/metric_family.h>

#include <string>
#include <string_view>
#include <vector>

namespace brakeward::metrics {

// Valid UTF-8: U+FFFD for each byte that is not, and for control characters other than tab and newline (a
// reader of the text format may take a zero byte for the end of the page).
std::string clean_label(std::string_view text);

// Families by name, series by their labels: the library keeps series in no order.
void sort(std::vector<prometheus::MetricFamily>& families);

// Text exposition format 0.0.4.
std::string to_text(const std::vector<prometheus::MetricFamily>& families);

}  // namespace brakeward::metrics
