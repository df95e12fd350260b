#include "verdict/limit.h"

#include <cmath>

#include "verdict/concat.h"
#include "verdict/sentence.h"

namespace brakeward::verdict {
namespace {

using measure::MeasureInfo;
using measure::MeasureValue;
using measure::Worse;
using State = LimitOutcome::State;

bool has_minimum(const Limit& l) {
  return l.minimum > -kNoBound;
}
bool has_maximum(const Limit& l) {
  return l.maximum < kNoBound;
}

LimitOutcome judge_measured(const MeasureInfo& info, double value, const Limit& limit) {
  if (has_maximum(limit) && value > limit.maximum) {
    return {State::kCrossed, limit_sentence(info, value, limit.maximum, "at most", limit.source)};
  }
  if (has_minimum(limit) && value < limit.minimum) {
    return {State::kCrossed, limit_sentence(info, value, limit.minimum, "at least", limit.source)};
  }
  return {State::kHeld, ""};
}

// An event that never came cannot have met a bound on its worse side; a bound on the other side it does not
// touch.
LimitOutcome judge_never_reached(const MeasureInfo& info, const Limit& limit) {
  if (info.worse != Worse::kLower && has_maximum(limit)) {
    return {State::kCrossed, never_within_limit_sentence(info, limit.maximum, "at most", limit.source)};
  }
  if (info.worse != Worse::kHigher && has_minimum(limit)) {
    return {State::kCrossed, never_within_limit_sentence(info, limit.minimum, "at least", limit.source)};
  }
  return {};
}

LimitOutcome judge_limit(const MeasureInfo& info, const MeasureValue& value, const Limit& limit) {
  if (std::isnan(limit.minimum) || std::isnan(limit.maximum)) {
    return {State::kBroken,
            concat("the limit of ", spoken(info.name), " is not a number; correct it in the scenario")};
  }
  if (!has_minimum(limit) && !has_maximum(limit)) return {};
  switch (value.state) {
    case MeasureValue::State::kMeasured:
      return judge_measured(info, value.value, limit);
    case MeasureValue::State::kNeverReached:
      return judge_never_reached(info, limit);
    case MeasureValue::State::kNotApplicable:
      break;
  }
  return {State::kNotShown,
          concat("the limit of ", spoken(info.name), " could not be judged: ", why_not_shown(value))};
}

}  // namespace

LimitOutcome judge_limits(const MeasureInfo& info, const MeasureValue& value,
                          const std::vector<Limit>& limits) {
  LimitOutcome gravest;
  for (const Limit& limit : limits) {
    if (limit.measure != info.name) continue;
    LimitOutcome outcome = judge_limit(info, value, limit);
    if (outcome.state > gravest.state) gravest = outcome;
  }
  return gravest;
}

}  // namespace brakeward::verdict
