#define BRAKEWARD_ISA isa_v3
#include "determinism/kernel_batch.inl.h"

namespace brakeward::determinism {

void run_pack_v3(const double* inputs, int count, double* outputs) {
  run_batch<math::Pack>(inputs, count, outputs);
}

}  // namespace brakeward::determinism
