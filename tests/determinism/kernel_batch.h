// The kernel batch as built for each scalar and instruction set, one translation unit each.
#pragma once

namespace brakeward::determinism {

inline constexpr int kOutputs = 16;

void run_double(const double* inputs, int count, double* outputs);     // baseline x86-64
void run_double_v3(const double* inputs, int count, double* outputs);  // with fused instructions
void run_counting(const double* inputs, int count, double* outputs);
void run_pack_base(const double* inputs, int count, double* outputs);
void run_pack_v3(const double* inputs, int count, double* outputs);
void run_pack_v4(const double* inputs, int count, double* outputs);

}  // namespace brakeward::determinism
