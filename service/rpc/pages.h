// Page tokens of lists: opaque, and good only for the list as it was when they were given.
#pragma once

#include <string>
#include <string_view>

#include "absl/status/statusor.h"

namespace brakeward::rpc {

inline constexpr int kUsualPage = 50;

// A list and the content it has now, for example "libraries/sorrel/scenarios <content hash>".
std::string page_token(const std::string& list, std::string_view position);

// What page_token() was given; empty for an empty token. INVALID_PAGE_TOKEN, naming `told`, for any other
// that page_token(list, ...) did not make.
absl::StatusOr<std::string> page_position(const std::string& list, const std::string& told,
                                          const std::string& token);

// The same where the position is a count of entries.
absl::StatusOr<size_t> page_begin(const std::string& list, const std::string& told, const std::string& token);

}  // namespace brakeward::rpc
