#include "metrics/text.h"

#include <prometheus/text_serializer.h>

#include <algorithm>

namespace brakeward::metrics {

void sort(std::vector<prometheus::MetricFamily>& families) {
  const auto by_name = [](const auto& a, const auto& b) { return a.name < b.name; };
  const auto by_labels = [](const auto& a, const auto& b) { return a.label < b.label; };
  std::sort(families.begin(), families.end(), by_name);
  for (prometheus::MetricFamily& family : families) {
    std::sort(family.metric.begin(), family.metric.end(), by_labels);
  }
}

std::string to_text(const std::vector<prometheus::MetricFamily>& families) {
  return prometheus::TextSerializer().Serialize(families);
}

}  // namespace brakeward::metrics
