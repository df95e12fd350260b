#include "metrics/result_series.h"

#include <cmath>
#include <optional>
#include <set>
#include <utility>

#include "document/text.h"
#include "math/check.h"
#include "measure/catalogue.h"
#include "metrics/declarations.h"
#include "metrics/drift.h"
#include "metrics/text.h"

namespace brakeward::metrics {
namespace {

using verdict::MeasureResult;
using verdict::Verdict;

// Value and baseline in base units, and tolerance used, as far as the result has them.
void add_measure(const MeasureResult& m, const std::vector<std::string>& labels, std::vector<Sample>& to) {
  const auto index = measure::find_measure(m.measure);
  if (!index) return;
  const UnitFamily* unit = find_unit_family(measure::catalogue()[*index].unit);
  math::check(unit != nullptr, "a unit of the catalogue has no metric");
  const auto add = [&](std::string_view family, const std::optional<double>& value, double up, double down) {
    if (value && std::isfinite(*value)) to.push_back(sample(family, labels, *value * up / down));
  };
  add(unit->value, m.value, unit->multiplier, unit->divisor);
  add(unit->baseline, m.baseline, unit->multiplier, unit->divisor);
  add("brakeward_tolerance_used_ratio", m.tolerance_used, 1, 1);
}

ScenarioSeries scenario_series(const verdict::ScenarioResult& scenario, const std::string& library,
                               const std::string& build, const std::string& name) {
  ScenarioSeries series;
  series.verdict = scenario.verdict;
  std::set<std::string> seen;
  for (const MeasureResult& m : scenario.measures) {
    if (seen.insert(m.measure).second) add_measure(m, {library, build, name, m.measure}, series.samples);
  }
  return series;
}

}  // namespace

int BuildSeries::count() const {
  size_t sum = head.size();
  for (const ScenarioSeries& scenario : scenarios) sum += scenario.samples.size();
  return static_cast<int>(sum);
}

Sample sample(std::string_view family, std::vector<std::string> label_values, double value) {
  const MetricDeclaration& metric = declaration(family);
  math::check(metric.labels.size() == label_values.size(), "a sample's labels are not those declared");
  Sample made;
  made.family = metric.name;
  for (size_t i = 0; i < label_values.size(); ++i) {
    made.metric.label.push_back({std::string(metric.labels[i].name), std::move(label_values[i])});
  }
  made.metric.gauge.value = value + 0.0;  // -0 becomes 0
  return made;
}

BuildSeries series_of(const verdict::Run& run, const verdict::Run* anchor) {
  const std::string library = document::clean(run.library_name);
  BuildSeries series;
  series.build = document::clean(run.event_build);
  for (const Verdict v :
       {Verdict::kNone, Verdict::kPass, Verdict::kInconclusive, Verdict::kFail, Verdict::kError}) {
    series.head.push_back(
        sample("brakeward_verdict", {library, series.build, verdict::word(v)}, run.verdict == v ? 1 : 0));
  }
  if (anchor != nullptr && comparable(run, *anchor)) {
    for (const auto& [measure, ratio] : drift(run, *anchor)) {
      series.head.push_back(sample("brakeward_drift_ratio", {library, series.build, measure}, ratio));
    }
  }
  std::set<std::string> seen;
  for (const verdict::ScenarioResult& scenario : run.scenarios) {
    const std::string name = document::clean(scenario.scenario);
    if (!seen.insert(name).second) continue;
    series.scenarios.push_back(scenario_series(scenario, library, series.build, name));
  }
  return series;
}

}  // namespace brakeward::metrics
