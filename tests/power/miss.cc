#include "power/miss.h"

#include <cmath>
#include <cstdio>

namespace brakeward::power {
namespace {

// A measure of a scenario and its share of the tolerance.
struct Place {
  double share = 0;
  std::string name;
};

void take(bool further, double share, const verdict::MeasureResult& m, const verdict::ScenarioResult& s,
          Place& place) {
  if (further) place = {share, m.measure + " of " + s.scenario};
}

std::string percent(double share) {
  char text[32];
  std::snprintf(text, sizeof text, "%.0f %%", 100 * share);
  return text;
}

}  // namespace

Explanation explain_miss(const verdict::Run& run) {
  bool moved = false;
  Place worst, best;
  for (const auto& s : run.scenarios)
    for (const auto& m : s.measures) {
      moved = moved || m.value != m.baseline;
      if (!m.tolerance_used) continue;
      take(*m.tolerance_used > worst.share, *m.tolerance_used, m, s, worst);
      take(*m.tolerance_used < best.share, *m.tolerance_used, m, s, best);
    }
  if (!moved) return {Miss::kUnseen, "no number moves"};
  if (best.share < -1)
    return {Miss::kForTheBetter, "better by " + percent(-best.share) + " of the tolerance in " + best.name};
  if (worst.share > 0) return {Miss::kWithin, "at most " + percent(worst.share) + ", " + worst.name};
  if (best.share < 0) return {Miss::kWithin, "better, at most by " + percent(-best.share) + ", " + best.name};
  return {Miss::kNotJudged, "what moves is not judged"};
}

}  // namespace brakeward::power
