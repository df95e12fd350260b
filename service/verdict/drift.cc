#include "verdict/drift.h"

#include <algorithm>
#include <cmath>

#include "verdict/concat.h"
#include "verdict/number.h"
#include "verdict/sentence.h"

namespace brakeward::verdict {
namespace {

constexpr size_t kMostContributors = 2;

double share(double change, double tolerance) {
  if (tolerance == 0) return change == 0 ? 0 : std::copysign(kNothingAllowed, change);
  return std::clamp(change / tolerance, -kNothingAllowed, kNothingAllowed);
}

// Positive for the worse; signed where either way counts.
double counted(double change, bool two_sided, measure::Worse worse) {
  return !two_sided && worse == measure::Worse::kLower ? -change : change;
}

struct Sums {
  std::vector<double> step, sum;  // one a build, in the measure's unit
  size_t since = 0;               // build from which the sum has grown
};

Sums sums_of(const DriftInput& in) {
  Sums s{{0}, {0}, 0};
  for (size_t i = 1; i < in.results.size(); ++i) {
    const double step =
        counted(*in.results[i].value - *in.results[i - 1].value, in.two_sided, in.info->worse);
    const double sum = s.sum.back() + step;
    s.step.push_back(step);
    s.sum.push_back(in.two_sided ? sum : std::max(0.0, sum));
    if (!in.two_sided && sum <= 0) s.since = i;
  }
  return s;
}

// "northmoor-5 (0.41) and northmoor-2 (0.33)": the builds that added most to the sum.
std::string contributors(const Sums& s, const std::vector<DriftBuild>& builds, int decimals) {
  const double sign = s.sum.back() < 0 ? -1 : 1;
  std::vector<size_t> order;
  for (size_t i = s.since + 1; i < s.step.size(); ++i)
    if (sign * s.step[i] > 0) order.push_back(i);
  std::stable_sort(order.begin(), order.end(),
                   [&](size_t a, size_t b) { return sign * s.step[a] > sign * s.step[b]; });
  if (order.size() > kMostContributors) order.resize(kMostContributors);
  std::string text;
  for (const size_t i : order)
    append(text, text.empty() ? "" : " and ", builds[i].name, " (",
           format_number(std::fabs(s.step[i]), decimals), ")");
  return text;
}

std::string drift_sentence(const DriftInput& in, const Sums& s, double allowed,
                           const std::vector<DriftBuild>& builds) {
  const measure::MeasureInfo& info = *in.info;
  const double sum = s.sum.back();
  const NumberPair printed = format_apart(std::fabs(sum), allowed, info.decimals);
  const char* how = !in.two_sided ? " worsened by " : sum > 0 ? " grew by " : " fell by ";
  return concat(spoken(info.name), how, with_unit_of_change(printed.value, info.unit), " since ",
                builds[s.since].name, "; allowed drift ", with_unit_of_change(printed.bound, info.unit),
                "; most of it came with ", contributors(s, builds, info.decimals));
}

// Why the values cannot be added up; the verdict none where they can.
struct Obstacle {
  Verdict verdict = Verdict::kNone;
  std::string reason;
};

Obstacle obstacle_of(const DriftInput& in, const std::vector<DriftBuild>& builds) {
  Obstacle worst;
  for (size_t i = 0; i < in.results.size(); ++i) {
    const MeasureResult& r = in.results[i];
    Verdict verdict = Verdict::kNone;
    if (r.verdict == Verdict::kError || r.verdict == Verdict::kInconclusive)
      verdict = r.verdict;
    else if (!r.value)
      verdict =
          i + 1 == in.results.size() && r.verdict == Verdict::kFail ? Verdict::kFail : Verdict::kInconclusive;
    if (verdict <= worst.verdict) continue;
    worst = {verdict, concat(builds[i].name, ": ", r.reason)};
  }
  return worst;
}

std::optional<double> tolerance_of(const DriftInput& in) {
  for (const MeasureResult& r : in.results)
    if (r.allowed_change) return r.allowed_change;
  return std::nullopt;
}

bool is_judged(const DriftInput& in) {
  return std::any_of(in.results.begin(), in.results.end(), [](const MeasureResult& r) {
    return r.verdict > Verdict::kPass || (r.verdict == Verdict::kPass && r.allowed_change);
  });
}

}  // namespace

std::optional<DriftSeries> judge_drift(const DriftInput& in, const std::vector<DriftBuild>& builds) {
  if (!is_judged(in)) return std::nullopt;
  DriftSeries out;
  out.scenario = in.scenario;
  out.measure = std::string(in.info->name);
  out.two_sided = in.two_sided;
  out.tolerance = tolerance_of(in);
  for (const MeasureResult& r : in.results) out.steps.push_back({r.value, {}, {}});
  const Obstacle obstacle = obstacle_of(in, builds);
  out.verdict = obstacle.verdict;
  out.reason = obstacle.reason;
  if (!out.tolerance) return obstacle.verdict == Verdict::kNone ? std::nullopt : std::optional(out);
  const double tolerance = *out.tolerance;
  const double allowed = in.allowance.amount.value_or(in.allowance.factor * tolerance);
  out.drift_tolerance = allowed;
  if (obstacle.verdict != Verdict::kNone) return out;
  const Sums s = sums_of(in);
  for (size_t i = 1; i < s.step.size(); ++i) {
    out.steps[i].step = share(s.step[i], tolerance);
    out.steps[i].sum = share(s.sum[i], tolerance);
  }
  out.sum = share(s.sum.back(), tolerance);
  out.drift_used = std::fabs(share(s.sum.back(), allowed));
  const bool beyond = std::fabs(s.sum.back()) > allowed;
  out.verdict = beyond ? Verdict::kFail : Verdict::kPass;
  if (beyond) out.reason = drift_sentence(in, s, allowed, builds);
  return out;
}

void conclude(Drift& drift) {
  drift.verdict = drift.series.empty() ? Verdict::kInconclusive : Verdict::kNone;
  for (const DriftSeries& s : drift.series) drift.verdict = worst(drift.verdict, s.verdict);
}

}  // namespace brakeward::verdict
