#include "metrics/drift.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "measure/catalogue.h"
#include "verdict/tolerance.h"

namespace brakeward::metrics {
namespace {

using measure::Worse;
using verdict::MeasureResult;
using verdict::Verdict;

bool finite(const std::optional<double>& value) {
  return value.has_value() && std::isfinite(*value);
}

// Neither measures shown without a tolerance nor those a scenario was not fit to judge.
bool judged(const MeasureResult& m) {
  return (m.verdict == Verdict::kPass || m.verdict == Verdict::kFail) && finite(m.value) &&
         finite(m.allowed_change) && m.tolerance_used.has_value();
}

double for_the_worse(double change, Worse worse) {
  if (worse == Worse::kEither) return std::fabs(change);
  return worse == Worse::kHigher ? change : -change;
}

double share(double change_for_worse, double allowed) {
  if (allowed <= 0) return change_for_worse > 0 ? verdict::kNothingAllowed : 0;
  return std::clamp(change_for_worse / allowed, -verdict::kNothingAllowed, verdict::kNothingAllowed);
}

using Values = std::map<std::pair<std::string, std::string>, double>;  // by scenario and measure

Values values_of(const verdict::Run& run) {
  Values values;
  for (const verdict::ScenarioResult& scenario : run.scenarios) {
    for (const MeasureResult& m : scenario.measures) {
      if (finite(m.value)) values.emplace(std::pair(scenario.scenario, m.measure), *m.value);
    }
  }
  return values;
}

}  // namespace

bool comparable(const verdict::Run& build, const verdict::Run& anchor) {
  return build.vehicle_sha256 == anchor.vehicle_sha256 && build.numerics_version == anchor.numerics_version;
}

std::map<std::string, double> drift(const verdict::Run& build, const verdict::Run& anchor) {
  const Values then = values_of(anchor);
  std::map<std::string, double> largest;
  for (const verdict::ScenarioResult& scenario : build.scenarios) {
    for (const MeasureResult& m : scenario.measures) {
      const auto index = measure::find_measure(m.measure);
      const auto before = then.find({scenario.scenario, m.measure});
      if (!index || before == then.end() || !judged(m)) continue;
      const double change = for_the_worse(*m.value - before->second, measure::catalogue()[*index].worse);
      const double used = share(change, *m.allowed_change);
      const auto [place, first] = largest.emplace(m.measure, used);
      if (!first) place->second = std::max(place->second, used);
    }
  }
  return largest;
}

}  // namespace brakeward::metrics
