#define BRAKEWARD_ISA isa_v3
#include "benchmark/stages.inl.h"

namespace brakeward::benchmark {

void add_stages_v3(const replay::BatchJob& job) {
  add_stages<math::Pack>("8_lanes_v3", job);
}

}  // namespace brakeward::benchmark
