// Lane k of a Pack gives the bits of the same computation in double, whatever instruction set either was
// built for. Any NaN equals any other: which one an operation gives is not promised.
#include <bit>
#include <cmath>
#include <cstdint>
#include <vector>

#include "determinism/inputs.h"
#include "determinism/kernel_batch.h"
#include "gtest/gtest.h"

namespace brakeward::determinism {
namespace {

using Run = void (*)(const double*, int, double*);

std::vector<double> outputs_of(Run run) {
  const std::vector<double> inputs = batch_inputs();
  const int count = static_cast<int>(inputs.size() / 2);
  std::vector<double> outputs(static_cast<size_t>(count) * kOutputs);
  run(inputs.data(), count, outputs.data());
  return outputs;
}

bool same_bits(double a, double b) {
  return (std::isnan(a) && std::isnan(b)) || std::bit_cast<uint64_t>(a) == std::bit_cast<uint64_t>(b);
}

void expect_the_bits_of_double(Run run) {
  const std::vector<double> expected = outputs_of(run_double), actual = outputs_of(run);
  const std::vector<double> inputs = batch_inputs();
  ASSERT_EQ(expected.size(), actual.size());
  int differing = 0;
  for (size_t i = 0; i < expected.size(); ++i) {
    if (same_bits(expected[i], actual[i])) continue;
    const size_t pair = i / kOutputs;
    if (++differing <= 10) {
      ADD_FAILURE() << std::hexfloat << "output " << i % kOutputs << " of pair " << pair << ", ("
                    << inputs[2 * pair] << ", " << inputs[2 * pair + 1] << "): double " << expected[i]
                    << ", here " << actual[i];
    }
  }
  EXPECT_EQ(differing, 0) << "of " << expected.size();
}

bool has_v3() {
  return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma");
}
bool has_v4() {
  return has_v3() && __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512dq") &&
         __builtin_cpu_supports("avx512bw") && __builtin_cpu_supports("avx512cd") &&
         __builtin_cpu_supports("avx512vl");
}

TEST(Determinism, TheBatchHasSomethingToSay) {
  const std::vector<double> outputs = outputs_of(run_double);
  size_t finite = 0;
  for (const double x : outputs) finite += std::isfinite(x);
  EXPECT_GT(finite, outputs.size() * 9 / 10);
  EXPECT_LT(finite, outputs.size());
}

TEST(Determinism, CountingGivesTheBitsOfDouble) {
  expect_the_bits_of_double(run_counting);
}

TEST(Determinism, PackGivesTheBitsOfDoubleOnTheBaseInstructionSet) {
  expect_the_bits_of_double(run_pack_base);
}

TEST(Determinism, DoubleGivesTheSameBitsWithFusedInstructions) {
  if (!has_v3()) GTEST_SKIP() << "this processor lacks AVX2 or FMA";
  expect_the_bits_of_double(run_double_v3);
}

TEST(Determinism, PackGivesTheBitsOfDoubleOnV3) {
  if (!has_v3()) GTEST_SKIP() << "this processor lacks AVX2 or FMA";
  expect_the_bits_of_double(run_pack_v3);
}

TEST(Determinism, PackGivesTheBitsOfDoubleOnV4) {
  if (!has_v4()) GTEST_SKIP() << "this processor lacks AVX-512";
  expect_the_bits_of_double(run_pack_v4);
}

}  // namespace
}  // namespace brakeward::determinism
