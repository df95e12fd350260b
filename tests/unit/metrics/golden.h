// Pages kept as files. The first line of a file says why it reads as it does; it is no part of the page. With
// BRAKEWARD_UPDATE_GOLDEN set to the reason, the file is written anew instead.
#pragma once

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>

namespace brakeward::metrics {

inline void expect_golden(const std::string& page, const std::string& name) {
  const std::string path = BRAKEWARD_SOURCE_DIR "/tests/unit/metrics/golden/" + name;
  if (const char* reason = std::getenv("BRAKEWARD_UPDATE_GOLDEN")) {
    std::ofstream(path) << "# Reason: " << reason << "\n" << page;
  }
  std::ifstream file(path);
  std::string reason;
  std::getline(file, reason);
  std::ostringstream kept;
  kept << file.rdbuf();
  EXPECT_TRUE(reason.starts_with("# Reason: ")) << path;
  EXPECT_EQ(page, kept.str()) << path;
}

}  // namespace brakeward::metrics
