#include "report/order.h"

#include <algorithm>
#include <limits>
#include <tuple>

#include "measure/catalogue.h"

namespace brakeward::report {
namespace {

using verdict::MeasureResult;
using verdict::ScenarioResult;

// Sorts ascending: the gravest verdict and the largest share come first.
using Key = std::tuple<int, double, std::string_view>;

double share_key(const MeasureResult& m) {
  const double none = std::numeric_limits<double>::infinity();
  return m.tolerance_used && *m.tolerance_used == *m.tolerance_used ? -*m.tolerance_used : none;
}

Key key_of(const MeasureResult& m) {
  return {-static_cast<int>(m.verdict), share_key(m), m.measure};
}

Key key_of(const ScenarioResult& s) {
  const std::vector<const MeasureResult*> measures = ordered_measures(s);
  const double share =
      measures.empty() ? std::numeric_limits<double>::infinity() : share_key(*measures.front());
  return {-static_cast<int>(s.verdict), share, s.scenario};
}

template <typename T>
std::vector<const T*> ordered(const std::vector<T>& list) {
  std::vector<std::pair<Key, const T*>> keyed;
  for (const T& t : list) keyed.emplace_back(key_of(t), &t);
  std::stable_sort(keyed.begin(), keyed.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<const T*> result;
  for (const auto& [key, t] : keyed) result.push_back(t);
  return result;
}

}  // namespace

std::vector<const ScenarioResult*> ordered_scenarios(const verdict::Run& run) {
  return ordered(run.scenarios);
}

std::vector<const MeasureResult*> ordered_measures(const ScenarioResult& scenario) {
  return ordered(scenario.measures);
}

const MeasureResult* measure_named(const std::vector<MeasureResult>& measures, std::string_view name) {
  for (const MeasureResult& m : measures)
    if (m.measure == name) return &m;
  return nullptr;
}

std::vector<const ScenarioResult*> inconclusive_as_a_whole(const verdict::Run& run) {
  std::vector<const ScenarioResult*> out;
  for (const ScenarioResult* s : ordered_scenarios(run))
    if (s->verdict == verdict::Verdict::kInconclusive && is_graver_than_measures(*s)) out.push_back(s);
  return out;
}

bool is_graver_than_measures(const ScenarioResult& scenario) {
  verdict::Verdict gravest = verdict::Verdict::kNone;
  for (const MeasureResult& m : scenario.measures) gravest = verdict::worst(gravest, m.verdict);
  return scenario.verdict > gravest || scenario.measures.empty();
}

std::vector<Finding> ordered_findings(const verdict::Run& run) {
  using FindingKey = std::tuple<int, double, std::string_view, std::string_view>;
  std::vector<std::pair<FindingKey, Finding>> keyed;
  for (const ScenarioResult& s : run.scenarios) {
    if (is_graver_than_measures(s)) {
      const auto [verdict, share, name] = key_of(s);
      keyed.push_back({{verdict, share, name, ""}, {&s, nullptr}});
    }
    for (const MeasureResult& m : s.measures) {
      if (m.verdict == verdict::Verdict::kNone) continue;
      const auto [verdict, share, name] = key_of(m);
      keyed.push_back({{verdict, share, s.scenario, name}, {&s, &m}});
    }
  }
  std::stable_sort(keyed.begin(), keyed.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<Finding> result;
  for (const auto& [key, finding] : keyed) result.push_back(finding);
  return result;
}

MeasureForm form_of(std::string_view measure) {
  const std::optional<int> position = measure::find_measure(measure);
  if (!position) return {};
  const measure::MeasureInfo& info = measure::catalogue()[static_cast<size_t>(*position)];
  return {info.unit, info.decimals};
}

}  // namespace brakeward::report
