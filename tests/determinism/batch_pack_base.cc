#define BRAKEWARD_ISA isa_base
#include "determinism/kernel_batch.inl.h"

namespace brakeward::determinism {

void run_pack_base(const double* inputs, int count, double* outputs) {
  run_batch<math::Pack>(inputs, count, outputs);
}

}  // namespace brakeward::determinism
