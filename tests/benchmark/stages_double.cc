#define BRAKEWARD_ISA isa_double
#include "benchmark/stages.inl.h"

namespace brakeward::benchmark {

void add_stages_double(const replay::BatchJob& job) {
  add_stages<double>("scalar", job);
}

}  // namespace brakeward::benchmark
