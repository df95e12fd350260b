#define BRAKEWARD_ISA isa_counting
#include "benchmark/count.h"

#include "math/counting.inl.h"

namespace brakeward::benchmark {

void reset_operations() {
  math::operations.reset();
}

Operations counted_operations() {
  const auto& o = math::operations;
  return {o.add, o.mul, o.fma, o.div, o.sqrt, o.select, o.compare, o.minmax, o.total(), o.flops()};
}

}  // namespace brakeward::benchmark
