// For our own bugs only: a condition that cannot be false stops the program with text when it is. Bad input is a Status.
#ifndef BRAKEWARD_MATH_CHECK_H_
#define BRAKEWARD_MATH_CHECK_H_

#include <cstdio>
#include <cstdlib>

namespace brakeward::math {

inline void check(bool condition, const char* what) {
  if (condition) return;
  std::fprintf(stderr, "brakeward: internal error: %s\n", what);
  std::abort();
}

}  // namespace brakeward::math

#endif  // BRAKEWARD_MATH_CHECK_H_
