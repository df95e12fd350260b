// Which ticks of a replay are worth drawing. Internal to the room.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace brakeward::report {

// Rising positions in the series, at most about `most`, that tell best how all of them run: evenly spread
// ones and, between two of those, the one at which a series is farthest from the straight line, in shares of
// that series' range. Short peaks stay visible that way, and every position is a true sample. Series may be
// of different lengths; values that are not finite count for nothing. All positions where there are no more
// than `most`.
std::vector<size_t> telling_ticks(std::span<const std::vector<double>> series, size_t most);

}  // namespace brakeward::report
