#define BRAKEWARD_ISA isa_v4
#include "determinism/kernel_batch.inl.h"

namespace brakeward::determinism {

void run_pack_v4(const double* inputs, int count, double* outputs) {
  run_batch<math::Pack>(inputs, count, outputs);
}

}  // namespace brakeward::determinism
