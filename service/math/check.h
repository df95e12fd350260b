// For our own bugs only: a condition that cannot be false stops the program with text when it is. Bad input
// is a Status.
#pragma once

#include <cstdio>
#include <cstdlib>

namespace brakeward::math {

inline void check(bool condition, const char* what) {
  if (condition) return;
  std::fprintf(stderr, "brakeward: internal error: %s\n", what);
  std::abort();
}

}  // namespace brakeward::math
