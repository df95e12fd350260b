#include "unit/metrics/sample_builds.h"

#include <sstream>
#include <utility>

#include "measure/catalogue.h"

namespace brakeward::metrics {

using verdict::Verdict;

verdict::MeasureResult measured(std::string_view measure, double value, double baseline, double allowed) {
  verdict::MeasureResult m;
  m.measure = std::string(measure);
  m.value = value;
  m.baseline = baseline;
  m.allowed_change = allowed;
  m.tolerance_used = (value - baseline) / allowed;
  m.verdict = Verdict::kPass;
  return m;
}

verdict::ScenarioResult scenario(std::string_view name, std::vector<verdict::MeasureResult> measures) {
  verdict::ScenarioResult result;
  result.scenario = std::string(name);
  result.scenario_class = "straight_dry";
  result.verdict = Verdict::kPass;
  result.measures = std::move(measures);
  return result;
}

verdict::Run event_build(std::string_view library, std::string_view build,
                         std::vector<verdict::ScenarioResult> scenarios) {
  verdict::Run run;
  run.event_build = std::string(build);
  run.library_name = std::string(library);
  run.vehicle_sha256 = "f00d";
  run.numerics_version = 3;
  run.state = verdict::RunState::kCompleted;
  run.verdict = Verdict::kPass;
  run.scenarios = std::move(scenarios);
  return run;
}

verdict::Run full_build(std::string_view library, std::string_view build, int scenarios) {
  std::vector<verdict::MeasureResult> measures;
  double value = 10;
  for (size_t i = 0; i < kFullMeasures; ++i) {
    measures.push_back(measured(measure::catalogue()[i].name, value + 0.5, value, 2));
    ++value;
  }
  std::vector<verdict::ScenarioResult> list;
  for (int i = 0; i < scenarios; ++i) list.push_back(scenario("stop_" + std::to_string(i), measures));
  return event_build(library, build, std::move(list));
}

verdict::Run golden_build(std::string_view build, double worse) {
  return event_build(
      "juniper", build,
      {scenario("dry_stop_120",
                {measured("stopping_distance", 61.5 + worse, 61, 2),
                 measured("mean_fully_developed_deceleration", 9.25, 9, 0.5),
                 measured("stopping_time", 3.75 + worse, 3.5, 1), measured("speed_loss", 33.5, 33.25, 1),
                 measured("delay_63_percent", 182.4 + worse, 182, 8),
                 measured("front_share", 57.5 + worse, 58, 1), measured("tracking_error", 1.25 + worse, 1, 2),
                 measured("peak_disc_temperature_front", 412, 410, 20)})});
}

std::vector<std::string> series_of_page(const std::string& page) {
  std::vector<std::string> series;
  std::istringstream lines(page);
  for (std::string line; std::getline(lines, line);) {
    if (!line.empty() && line[0] != '#') series.push_back(line);
  }
  return series;
}

std::string value_on(const std::string& page, const std::string& series) {
  for (const std::string& line : series_of_page(page)) {
    if (line.starts_with(series + " ")) return line.substr(series.size() + 1);
  }
  return "absent";
}

}  // namespace brakeward::metrics
