#define BRAKEWARD_ISA isa_double
#include "replay/engine.inl.h"

namespace brakeward::replay {

void run_double(const BatchJob& job) {
  for (int k = 0; k < job.lanes; ++k) {
    const BatchJob alone{job.structure, 1, {job.lane[k]}, job.stint, job.stop, job.stop_context};
    run<double>(alone);
  }
}

}  // namespace brakeward::replay
