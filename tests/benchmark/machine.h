// Where a measurement was taken: printed above every table.
#pragma once

namespace brakeward::benchmark {

void print_machine();

// CPU time of this thread.
double thread_seconds();

}  // namespace brakeward::benchmark
