#define BRAKEWARD_ISA isa_v3
#include "replay/engine.inl.h"

namespace brakeward::replay {

void run_v3(const BatchJob& job) {
  run<math::Pack>(job);
}

}  // namespace brakeward::replay
