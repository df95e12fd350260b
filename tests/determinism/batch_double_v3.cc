#define BRAKEWARD_ISA isa_double
#include "determinism/kernel_batch.inl.h"

namespace brakeward::determinism {

void run_double_v3(const double* inputs, int count, double* outputs) {
  run_batch<double>(inputs, count, outputs);
}

}  // namespace brakeward::determinism
