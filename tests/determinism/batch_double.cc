#define BRAKEWARD_ISA isa_base
#include "determinism/kernel_batch.inl.h"

namespace brakeward::determinism {

void run_double(const double* inputs, int count, double* outputs) {
  run_batch<double>(inputs, count, outputs);
}

}  // namespace brakeward::determinism
