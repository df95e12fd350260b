// The sentences that give reasons, one per way in which a measure is judged. Internal to the room.
#pragma once

#include <string>
#include <string_view>

#include "measure/catalogue.h"

namespace brakeward::verdict {

// A catalogue name as words: "stopping_distance" reads "stopping distance".
std::string spoken(std::string_view name);

// Why the replay does not show a measure; never empty.
std::string_view why_not_shown(const measure::MeasureValue& value);

// "stopping distance grew by 0.84 m; allowed 0.40 m".
std::string change_sentence(const measure::MeasureInfo& info, double change, double allowed, bool both_ways);

// "stopping distance is 62.31 m; the limit is at most 60.00 m (source)".
std::string limit_sentence(const measure::MeasureInfo& info, double value, double bound,
                           std::string_view side, std::string_view source);

// "shown but not judged in this class of scenario: source".
std::string not_judged_sentence(std::string_view source);

// "pressure onset never came; the limit is at most 200 ms (source)".
std::string never_within_limit_sentence(const measure::MeasureInfo& info, double bound, std::string_view side,
                                        std::string_view source);

// "pressure onset never came; the baseline had 182 ms".
std::string lost_sentence(const measure::MeasureInfo& info, double baseline);

// "pressure onset is 182 ms but never came in the baseline; approve a new baseline to have it judged".
std::string gained_sentence(const measure::MeasureInfo& info, double value);

}  // namespace brakeward::verdict
