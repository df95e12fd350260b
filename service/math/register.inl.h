// One native vector register of doubles and its mask, for the instruction set this unit is compiled for:
// the only place that knows one from another. The arithmetic operators are the compiler's own; here is what
// they lack. Vectors wider than the machine's register would be taken apart into scalars.
#pragma once

#include <immintrin.h>

#include "math/scalar.inl.h"

namespace brakeward::math {
inline namespace BRAKEWARD_ISA {

#if defined(__AVX512F__) && defined(__AVX512DQ__)

inline constexpr int kRegisterLanes = 8;
typedef __m512d Register;
typedef uint64_t RegisterBits __attribute__((vector_size(64)));
typedef __mmask8 RegisterMask;  // one bit a lane

BRAKEWARD_INLINE Register splat(double x) {
  return _mm512_set1_pd(x);
}
BRAKEWARD_INLINE Register native_fma(Register a, Register b, Register c) {
  return _mm512_fmadd_pd(a, b, c);
}
BRAKEWARD_INLINE Register native_sqrt(Register a) {
  return _mm512_mask_sqrt_pd(a, 0xFF, a);
}
BRAKEWARD_INLINE Register native_min(Register a, Register b) {
  return _mm512_mask_min_pd(a, 0xFF, a, b);
}
BRAKEWARD_INLINE Register native_max(Register a, Register b) {
  return _mm512_mask_max_pd(a, 0xFF, a, b);
}
BRAKEWARD_INLINE Register native_select(RegisterMask mask, Register yes, Register no) {
  return _mm512_mask_blend_pd(mask, no, yes);
}
BRAKEWARD_INLINE RegisterMask less(Register a, Register b) {
  return _mm512_cmp_pd_mask(a, b, _CMP_LT_OQ);
}
BRAKEWARD_INLINE RegisterMask less_equal(Register a, Register b) {
  return _mm512_cmp_pd_mask(a, b, _CMP_LE_OQ);
}
BRAKEWARD_INLINE RegisterMask equal(Register a, Register b) {
  return _mm512_cmp_pd_mask(a, b, _CMP_EQ_OQ);
}
BRAKEWARD_INLINE RegisterMask lowest_bit(RegisterBits bits) {
  return _mm512_test_epi64_mask((__m512i)bits, _mm512_set1_epi64(1));
}
BRAKEWARD_INLINE RegisterMask mask_of(bool all_lanes) {
  return all_lanes ? 0xFF : 0;
}
BRAKEWARD_INLINE int lanes_set(RegisterMask mask) {
  return mask;
}

BRAKEWARD_INLINE Register gather(const double* const* p, size_t i) {
  return Register{p[0][i], p[1][i], p[2][i], p[3][i], p[4][i], p[5][i], p[6][i], p[7][i]};
}

#elif defined(__AVX2__) && defined(__FMA__)

inline constexpr int kRegisterLanes = 4;
typedef __m256d Register;
typedef uint64_t RegisterBits __attribute__((vector_size(32)));
typedef RegisterBits RegisterMask;  // all bits of a lane set or clear

BRAKEWARD_INLINE Register splat(double x) {
  return _mm256_set1_pd(x);
}
BRAKEWARD_INLINE Register native_fma(Register a, Register b, Register c) {
  return _mm256_fmadd_pd(a, b, c);
}
BRAKEWARD_INLINE Register native_sqrt(Register a) {
  return _mm256_sqrt_pd(a);
}
BRAKEWARD_INLINE Register native_min(Register a, Register b) {
  return _mm256_min_pd(a, b);
}
BRAKEWARD_INLINE Register native_max(Register a, Register b) {
  return _mm256_max_pd(a, b);
}
BRAKEWARD_INLINE Register native_select(RegisterMask mask, Register yes, Register no) {
  return _mm256_blendv_pd(no, yes, (Register)mask);
}
BRAKEWARD_INLINE int lanes_set(RegisterMask mask) {
  return _mm256_movemask_pd((Register)mask);
}

BRAKEWARD_INLINE Register gather(const double* const* p, size_t i) {
  return Register{p[0][i], p[1][i], p[2][i], p[3][i]};
}

#else

inline constexpr int kRegisterLanes = 2;
typedef __m128d Register;
typedef uint64_t RegisterBits __attribute__((vector_size(16)));
typedef RegisterBits RegisterMask;  // all bits of a lane set or clear

BRAKEWARD_INLINE Register splat(double x) {
  return _mm_set1_pd(x);
}
BRAKEWARD_INLINE Register native_fma(Register a, Register b, Register c) {
  return Register{__builtin_fma(a[0], b[0], c[0]), __builtin_fma(a[1], b[1], c[1])};
}
BRAKEWARD_INLINE Register native_sqrt(Register a) {
  return _mm_sqrt_pd(a);
}
BRAKEWARD_INLINE Register native_min(Register a, Register b) {
  return _mm_min_pd(a, b);
}
BRAKEWARD_INLINE Register native_max(Register a, Register b) {
  return _mm_max_pd(a, b);
}
BRAKEWARD_INLINE Register native_select(RegisterMask mask, Register yes, Register no) {
  return (Register)((mask & (RegisterBits)yes) | (~mask & (RegisterBits)no));
}
BRAKEWARD_INLINE int lanes_set(RegisterMask mask) {
  return _mm_movemask_pd((Register)mask);
}

BRAKEWARD_INLINE Register gather(const double* const* p, size_t i) {
  return Register{p[0][i], p[1][i]};
}

#endif

#if !(defined(__AVX512F__) && defined(__AVX512DQ__))
BRAKEWARD_INLINE RegisterMask less(Register a, Register b) {
  return (RegisterMask)(a < b);
}
BRAKEWARD_INLINE RegisterMask less_equal(Register a, Register b) {
  return (RegisterMask)(a <= b);
}
BRAKEWARD_INLINE RegisterMask equal(Register a, Register b) {
  return (RegisterMask)(a == b);
}
BRAKEWARD_INLINE RegisterMask lowest_bit(RegisterBits bits) {
  return -(bits & 1);
}
BRAKEWARD_INLINE RegisterMask mask_of(bool all_lanes) {
  return RegisterBits{} - uint64_t{all_lanes};
}
#endif

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::math
