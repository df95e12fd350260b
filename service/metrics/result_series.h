// Series of event builds before the cap. Internal to the room.
#pragma once

#include <prometheus/client_metric.h>

#include <string>
#include <string_view>
#include <vector>

#include "verdict/run.h"

namespace brakeward::metrics {

struct Sample {
  std::string_view family;  // of the declarations
  prometheus::ClientMetric metric;
};

struct ScenarioSeries {
  verdict::Verdict verdict = verdict::Verdict::kNone;
  std::vector<Sample> samples;
};

struct BuildSeries {
  std::string build;                      // as the label shows it
  std::vector<Sample> head;               // verdict and drift
  std::vector<ScenarioSeries> scenarios;  // library order

  int count() const;  // of all samples
};

// A sample with labels in the order of the family's declaration.
Sample sample(std::string_view family, std::vector<std::string> label_values, double value);

// Everything a run shows. `anchor`: what its drift is measured against; null for none.
BuildSeries series_of(const verdict::Run& run, const verdict::Run* anchor);

}  // namespace brakeward::metrics
