#define BRAKEWARD_ISA isa_v4
#include "benchmark/stages.inl.h"

namespace brakeward::benchmark {

void add_stages_v4(const replay::BatchJob& job) {
  add_stages<math::Pack>("8_lanes_v4", job);
}

}  // namespace brakeward::benchmark
