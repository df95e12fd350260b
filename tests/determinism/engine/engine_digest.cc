// Prints the digest of the fixed batch from every engine of this build, one a line.
#include <cstdio>

#include "replay/self_check.h"

int main() {
  const brakeward::replay::SelfCheck check = brakeward::replay::self_check();
  for (const auto& engine : check.engines)
    if (engine.ran) std::printf("%s %016llx\n", engine.name, static_cast<unsigned long long>(engine.digest));
  return check.agree ? 0 : 1;
}
