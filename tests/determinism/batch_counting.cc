#define BRAKEWARD_ISA isa_counting
#include "determinism/kernel_batch.inl.h"

namespace brakeward::determinism {

void run_counting(const double* inputs, int count, double* outputs) {
  run_batch<math::Counting>(inputs, count, outputs);
}

}  // namespace brakeward::determinism
