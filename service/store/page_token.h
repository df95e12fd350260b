// Where a page of a list begins. A position is kept rather than a count of rows, so rows that come in between
// two pages neither show twice nor push another out.
#pragma once

#include <compare>
#include <cstdint>
#include <limits>
#include <string>
#include <string_view>

#include "absl/status/statusor.h"
#include "store/store.h"

namespace brakeward::store {

// Lists run from high to low: newest first, rows of the same time in the order opposite to their coming.
struct Position {
  std::int64_t at_ms = 0;
  std::int64_t sequence = 0;
  auto operator<=>(const Position&) const = default;
};

// Before every row.
inline constexpr Position kStart{std::numeric_limits<std::int64_t>::max(),
                                 std::numeric_limits<std::int64_t>::max()};

// What a list shows, so that a token of one list is not taken for another's. `list` is the kind of row.
std::string list_scope(std::string_view list, const Query& query);

// The token that goes on after the position.
std::string page_token(const std::string& scope, Position after);

// The position that a token stands for, kStart for an empty one; InvalidArgument for one that this list did
// not give.
absl::StatusOr<Position> page_start(const std::string& scope, const std::string& token);

}  // namespace brakeward::store
