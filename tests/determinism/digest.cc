// Prints a digest of the kernel batch over TESTED_REAL (double or math::Pack), a NaN counting as one value.
#define BRAKEWARD_ISA isa_base
#include <cstdint>
#include <cstdio>
#include <cstring>
#include <vector>

#include "determinism/inputs.h"
#include "determinism/kernel_batch.inl.h"

int main() {
  using namespace brakeward;
  const std::vector<double> inputs = determinism::batch_inputs();
  const int count = static_cast<int>(inputs.size() / 2);
  std::vector<double> outputs(static_cast<size_t>(count) * determinism::kOutputs);
  determinism::run_batch<TESTED_REAL>(inputs.data(), count, outputs.data());

  uint64_t digest = 0xcbf29ce484222325;  // FNV-1a, word by word
  for (const double x : outputs) {
    uint64_t bits = 0;
    if (x == x) std::memcpy(&bits, &x, sizeof bits);
    digest = (digest ^ bits) * 0x100000001b3;
    digest ^= digest >> 29;
  }
  std::printf("%016llx\n", static_cast<unsigned long long>(digest));
}
