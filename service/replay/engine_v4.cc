#define BRAKEWARD_ISA isa_v4
#include "replay/engine.inl.h"

namespace brakeward::replay {

void run_v4(const BatchJob& job) {
  run<math::Pack>(job);
}

}  // namespace brakeward::replay
