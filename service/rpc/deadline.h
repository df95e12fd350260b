// Which cancelled calls the deadline ended: gRPC tells both alike.
#pragma once

#include <chrono>

namespace brakeward::rpc {

// A deadline counts here from when the call arrived, so that a caller who gives up at its own is heard of
// before it by as long as the call was under way: seldom more than this on the network of a site (common
// practice, no source). One who cancels so shortly before its deadline passes for one who waited for it.
inline constexpr std::chrono::milliseconds kLongestWay{20};

inline bool has_passed(std::chrono::system_clock::time_point deadline) {
  return std::chrono::system_clock::now() + kLongestWay >= deadline;
}

}  // namespace brakeward::rpc
