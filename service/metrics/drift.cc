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

std::optional<double> finite(const std::optional<double>& value) {
  return value && std::isfinite(*value) ? value : std::nullopt;
}

struct Judged {
  double value;
  double allowed;
};

// Nothing for measures shown without a tolerance and for those a scenario was not fit to judge.
std::optional<Judged> judged(const MeasureResult& m) {
  const std::optional<double> value = finite(m.value), allowed = finite(m.allowed_change);
  if (m.verdict != Verdict::kPass && m.verdict != Verdict::kFail) return std::nullopt;
  if (!value || !allowed || !m.tolerance_used) return std::nullopt;
  return Judged{*value, *allowed};
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
      if (const auto value = finite(m.value)) values.emplace(std::pair(scenario.scenario, m.measure), *value);
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
      const std::optional<Judged> now = judged(m);
      if (!index || before == then.end() || !now) continue;
      const double change = for_the_worse(now->value - before->second, measure::catalogue()[*index].worse);
      const double used = share(change, now->allowed);
      const auto [place, first] = largest.emplace(m.measure, used);
      if (!first) place->second = std::max(place->second, used);
    }
  }
  return largest;
}

}  // namespace brakeward::metrics
