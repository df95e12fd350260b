// The operations one replay takes, from the counting scalar.
#pragma once

namespace brakeward::benchmark {

struct Operations {
  long long add, mul, fma, div, sqrt, select, compare, minmax;
  long long total, flops;  // an fma is two flops
};

void reset_operations();
Operations counted_operations();

}  // namespace brakeward::benchmark
