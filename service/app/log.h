// What a running service says of itself: plain lines on standard error.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "absl/status/status.h"

namespace brakeward::app {

enum class Level { kInfo, kWarning, kError };

// "2026-03-01T12:00:00.000Z info subject: text\n". Each line of a text of several becomes a line of its own;
// control characters are replaced, so that no text can look like another line.
std::string log_text(std::int64_t at_ms, Level level, std::string_view subject, std::string_view text);

// The same, now, to standard error, in one write. May be called from any thread.
void say(Level level, std::string_view subject, std::string_view text);

// A failure with all its lines, as an error.
void say(std::string_view subject, const absl::Status& failure);

}  // namespace brakeward::app
