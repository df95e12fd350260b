#include "benchmark/machine.h"

#include <time.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>

namespace brakeward::benchmark {
namespace {

std::string cpu_model() {
  std::ifstream in("/proc/cpuinfo");
  for (std::string line; std::getline(in, line);)
    if (line.starts_with("model name")) return line.substr(line.find(':') + 2);
  return "unknown";
}

}  // namespace

void print_machine() {
  char host[256] = "unknown";
  gethostname(host, sizeof(host) - 1);
  double load[3] = {-1, -1, -1};
  const bool known = getloadavg(load, 3) == 3;
  std::printf("host      %s, %ld processors, load %.2f%s\n", host, sysconf(_SC_NPROCESSORS_ONLN), load[0],
              known && load[0] > 1 ? " (busy: expect slower and more scattered times)" : "");
  std::printf("cpu       %s\n", cpu_model().c_str());
  std::printf("compiler  %s\n", BRAKEWARD_BENCHMARK_COMPILER);
  std::printf("flags     %s; engines -O3 -march=x86-64-v3 or -v4\n", BRAKEWARD_BENCHMARK_FLAGS);
  std::printf("commit    %s\n", BRAKEWARD_BENCHMARK_COMMIT);
}

double thread_seconds() {
  timespec t;
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
  return static_cast<double>(t.tv_sec) + 1e-9 * static_cast<double>(t.tv_nsec);
}

}  // namespace brakeward::benchmark
