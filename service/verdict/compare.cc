#include <algorithm>
#include <cmath>
#include <map>

#include "verdict/concat.h"
#include "verdict/limit.h"
#include "verdict/sentence.h"
#include "verdict/tolerance.h"

namespace brakeward::verdict {
namespace {

using measure::MeasureInfo;
using measure::MeasureValue;
using measure::Worse;

// The last element that names the measure, or null.
template <typename T>
const T* find_last(const std::vector<T>& list, std::string_view name) {
  const auto found = std::find_if(list.rbegin(), list.rend(), [&](const T& t) { return t.measure == name; });
  return found == list.rend() ? nullptr : &*found;
}

double allowed_change(const Tolerance& t, double baseline, double spread) {
  const double parts[] = {t.effect, t.effect_ratio * std::fabs(baseline), t.spread_factor * spread, t.floor};
  double largest = 0;
  for (const double part : parts) {
    if (!std::isfinite(part)) return part;
    largest = std::max(largest, part);
  }
  return largest;
}

void set(MeasureResult& result, Verdict verdict, std::string reason) {
  result.verdict = verdict;
  result.reason = std::move(reason);
}

// Where nothing is allowed a share has no meaning: nothing used, or more than any tolerance.
double share(double change_for_worse, double allowed) {
  if (allowed == 0) return change_for_worse > 0 ? kNothingAllowed : 0;
  return std::clamp(change_for_worse / allowed, -kNothingAllowed, kNothingAllowed);
}

double for_the_worse(double change, Worse worse, bool both_ways) {
  if (both_ways) return std::fabs(change);
  return worse == Worse::kHigher ? change : -change;
}

// Candidate and baseline both have a value.
void judge_change(const MeasureInfo& info, const Tolerance& tolerance, double baseline, double spread,
                  double value, MeasureResult& result) {
  const double allowed = allowed_change(tolerance, baseline, spread);
  if (!std::isfinite(allowed) || !std::isfinite(baseline)) {
    return set(result, Verdict::kError,
               concat("baseline or tolerance of ", spoken(info.name), " is not a finite number; correct it"));
  }
  const bool both_ways = counts_both_ways(info, &tolerance);
  const double change = value - baseline;
  const double change_for_worse = for_the_worse(change, info.worse, both_ways);
  result.allowed_change = allowed;
  result.tolerance_used = share(change_for_worse, allowed);
  if (change_for_worse > allowed) {
    return set(result, Verdict::kFail, change_sentence(info, change, allowed, both_ways));
  }
  set(result, Verdict::kPass, "");
}

// Against the baseline alone.
void judge_tolerance(const MeasureInfo& info, const MeasureValue& value, const Tolerance* tolerance,
                     const BaselineValue* baseline, bool there_is_a_baseline, MeasureResult& result) {
  using State = MeasureValue::State;
  const bool baseline_has_value = baseline != nullptr && baseline->value.has_value();
  if (tolerance != nullptr && !tolerance->not_judged && value.state == State::kNotApplicable &&
      baseline_has_value) {
    return set(
        result, Verdict::kInconclusive,
        concat(spoken(info.name), " was in the baseline but not in this replay: ", why_not_shown(value)));
  }
  if (value.state == State::kNotApplicable) {
    return set(result, Verdict::kNone, std::string(why_not_shown(value)));
  }
  if (tolerance == nullptr) return set(result, Verdict::kNone, "no tolerance for this class of scenario");
  if (tolerance->not_judged) {
    return set(result, Verdict::kNone, not_judged_sentence(tolerance->source));
  }
  if (baseline == nullptr) {
    return set(
        result, Verdict::kNone,
        there_is_a_baseline ? "the baseline has no value for it" : "there is no baseline to compare with");
  }
  const bool never = value.state == State::kNeverReached;
  if (never && !baseline_has_value) {
    return set(result, Verdict::kNone, "the event never came, nor did it in the baseline");
  }
  if (never) return set(result, Verdict::kFail, lost_sentence(info, *baseline->value));
  if (!baseline_has_value) return set(result, Verdict::kInconclusive, gained_sentence(info, value.value));
  judge_change(info, *tolerance, *baseline->value, baseline->spread, value.value, result);
}

// Lets the limits have their say on top of the tolerance's verdict.
void apply_limits(const LimitOutcome& limit, MeasureResult& result) {
  using State = LimitOutcome::State;
  if (result.verdict == Verdict::kError) return;
  switch (limit.state) {
    case State::kNoLimit:
      return;
    case State::kHeld:
      if (result.verdict == Verdict::kNone) set(result, Verdict::kPass, "within its limit; " + result.reason);
      return;
    case State::kCrossed: {
      const bool both = result.verdict == Verdict::kFail && result.tolerance_used.has_value();
      return set(result, Verdict::kFail,
                 both ? concat(limit.reason, "; also, ", result.reason) : limit.reason);
    }
    case State::kNotShown:
      return set(result, worst(result.verdict, Verdict::kInconclusive), limit.reason);
    case State::kBroken:
      return set(result, Verdict::kError, limit.reason);
  }
}

void apply_trust(const MeasureInfo& info, const Trust& trust, const LimitOutcome& limit,
                 MeasureResult& result) {
  const bool shaped_by_driver = trust.vehicle_inconclusive && info.point == measure::ChainPoint::kVehicle;
  if (!trust.calibration_bypassed && !trust.inconclusive && !shaped_by_driver) return;
  if (result.verdict == Verdict::kError) return;
  if (limit.state == LimitOutcome::State::kCrossed) return set(result, Verdict::kFail, limit.reason);
  if (trust.calibration_bypassed) {
    result.tolerance_used.reset();
    return set(result, Verdict::kNone, trust.reason);
  }
  if (result.verdict != Verdict::kNone) set(result, Verdict::kInconclusive, trust.reason);
}

MeasureResult judge(const MeasureInfo& info, const MeasureValue& value, const ComparisonInput& input,
                    const Trust& trust) {
  MeasureResult result;
  result.measure = std::string(info.name);
  const BaselineValue* baseline = find_last(input.baseline, info.name);
  if (baseline != nullptr && baseline->value && std::isfinite(*baseline->value))
    result.baseline = baseline->value;
  if (value.state == MeasureValue::State::kMeasured) {
    if (!std::isfinite(value.value)) {
      set(result, Verdict::kError,
          concat(spoken(info.name), " came out as a value that is not finite; the replay broke down"));
      return result;
    }
    result.value = value.value;
  }
  const LimitOutcome limit = judge_limits(info, value, input.limits);
  judge_tolerance(info, value, find_last(input.tolerances, info.name), baseline, !input.baseline.empty(),
                  result);
  apply_limits(limit, result);
  apply_trust(info, trust, limit, result);
  return result;
}

// Everything that names a measure outside the catalogue, so that nothing is passed over in silence.
void report_unknown(const ComparisonInput& input, std::vector<MeasureResult>& results) {
  std::map<std::string, MeasureResult> unknown;
  const auto note = [&](const std::string& name, Verdict verdict, std::string_view reason) {
    if (measure::find_measure(name)) return;
    MeasureResult& result = unknown[name];
    result.measure = name;
    if (result.reason.empty()) set(result, verdict, std::string(reason));
  };
  for (const Tolerance& t : input.tolerances) {
    note(t.measure, Verdict::kError, "a tolerance names this measure, which the catalogue does not have");
  }
  for (const Limit& l : input.limits) {
    note(l.measure, Verdict::kError, "a limit names this measure, which the catalogue does not have");
  }
  for (const BaselineValue& b : input.baseline) {
    note(b.measure, Verdict::kNone, "the baseline holds this measure, which the catalogue does not have");
  }
  for (auto& [name, result] : unknown) results.push_back(std::move(result));
}

// The trust with a reason in any case.
Trust with_reason(Trust trust) {
  if (!trust.reason.empty()) return trust;
  trust.reason = trust.calibration_bypassed
                     ? "the recorded pressure is replayed, so that the calibration has no part in it"
                     : "the replay does not reproduce the recording well enough to judge by";
  return trust;
}

// The reason given most often; of equals the one that came first.
std::string commonest_reason(const std::vector<MeasureResult>& results) {
  std::map<std::string, int> counts;
  for (const MeasureResult& r : results) ++counts[r.reason];
  std::string commonest;
  for (const MeasureResult& r : results) {
    if (commonest.empty() || counts[r.reason] > counts[commonest]) commonest = r.reason;
  }
  return commonest;
}

}  // namespace

bool counts_both_ways(const MeasureInfo& info, const Tolerance* tolerance) {
  return info.worse == Worse::kEither || (tolerance != nullptr && tolerance->two_sided);
}

const Tolerance* find_tolerance(const std::vector<Tolerance>& tolerances, std::string_view measure) {
  return find_last(tolerances, measure);
}

void compare(const ComparisonInput& input, ScenarioResult& result) {
  const Trust trust = with_reason(input.trust);
  result.measures.clear();
  const auto catalogue = measure::catalogue();
  for (size_t i = 0; i < catalogue.size(); ++i) {
    if (i < input.values.size()) {
      result.measures.push_back(judge(catalogue[i], input.values[i], input, trust));
      continue;
    }
    MeasureResult missing;
    missing.measure = std::string(catalogue[i].name);
    set(missing, Verdict::kError, "the replay handed over no value for " + spoken(catalogue[i].name));
    result.measures.push_back(missing);
  }
  report_unknown(input, result.measures);

  result.verdict = Verdict::kNone;
  for (const MeasureResult& m : result.measures) result.verdict = worst(result.verdict, m.verdict);
  if (trust.calibration_bypassed || trust.inconclusive || trust.vehicle_inconclusive)
    result.reason = trust.reason;
  if (result.verdict != Verdict::kNone) return;
  result.verdict = Verdict::kInconclusive;
  const std::string commonest = commonest_reason(result.measures);
  result.reason = commonest.empty() ? "nothing was judged" : "nothing was judged: " + commonest;
}

}  // namespace brakeward::verdict
