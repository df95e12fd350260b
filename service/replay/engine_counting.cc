#define BRAKEWARD_ISA isa_counting
#include "replay/engine.inl.h"

namespace brakeward::replay {

void run_counting(const BatchJob& job) {
  for (int k = 0; k < job.lanes; ++k) {
    const BatchJob alone{job.structure, 1, {job.lane[k]}, job.stint, job.stop, job.stop_context};
    run<math::Counting>(alone);
  }
}

}  // namespace brakeward::replay
