// Absolute limits of one measure. Internal to the room.
#pragma once

#include <string>
#include <vector>

#include "measure/catalogue.h"
#include "verdict/tolerance.h"

namespace brakeward::verdict {

struct LimitOutcome {
  enum class State { kNoLimit, kHeld, kCrossed, kNotShown, kBroken };
  State state = State::kNoLimit;
  std::string reason;  // for crossed, not shown and broken
};

// Judges `value` against every limit that names the measure; the first one crossed gives the reason.
LimitOutcome judge_limits(const measure::MeasureInfo& info, const measure::MeasureValue& value,
                          const std::vector<Limit>& limits);

}  // namespace brakeward::verdict
