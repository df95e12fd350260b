#include "app/log.h"

#include <cstdio>
#include <sstream>

#include "document/text.h"
#include "gate/history.h"

namespace brakeward::app {
namespace {

const char* word(Level level) {
  switch (level) {
    case Level::kInfo:
      return "info";
    case Level::kWarning:
      return "warning";
    case Level::kError:
      return "error";
  }
  return "error";
}

}  // namespace

std::string log_text(std::int64_t at_ms, Level level, std::string_view subject, std::string_view text) {
  const std::string head = gate::rfc3339(at_ms) + " " + word(level) + " " + document::clean(subject) + ": ";
  std::string out;
  std::istringstream lines{std::string(text)};
  for (std::string line; std::getline(lines, line);)
    if (!line.empty()) out += head + document::clean(line) + "\n";
  return out;
}

void say(Level level, std::string_view subject, std::string_view text) {
  const std::string lines = log_text(gate::now_ms(), level, subject, text);
  std::fwrite(lines.data(), 1, lines.size(), stderr);
}

void say(std::string_view subject, const absl::Status& failure) {
  say(Level::kError, subject, std::string(failure.message()));
}

}  // namespace brakeward::app
