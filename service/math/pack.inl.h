// Eight replays side by side: a Pack is eight doubles in kRegisters native registers (AVX-512: one of 8,
// AVX2: two of 4, otherwise four of 2). Every operation is the IEEE 754 one of double, lane by lane;
// scalar.inl.h says what it does with NaN and zeros. Nothing mixes lanes.
#pragma once

#include "math/register.inl.h"

// One register after the other, k counting them: written out rather than looped over, because g++ takes apart
// only what is indexed by constants from the start, and keeps the rest in memory.
#define BRAKEWARD_ONE(number, statement)     \
  if constexpr (number < kRegisters) {       \
    constexpr int k = (number) % kRegisters; \
    statement;                               \
  }
#define BRAKEWARD_ALL(statement) \
  BRAKEWARD_ONE(0, statement)    \
  BRAKEWARD_ONE(1, statement)    \
  BRAKEWARD_ONE(2, statement)    \
  BRAKEWARD_ONE(3, statement)
// A Pack-valued function, register by register.
#define BRAKEWARD_EACH(Result, expression)  \
  Result result;                            \
  BRAKEWARD_ALL(result.r[k] = (expression)) \
  return result

namespace brakeward::math {
inline namespace BRAKEWARD_ISA {

inline constexpr int kPackLanes = 8;
inline constexpr int kRegisters = kPackLanes / kRegisterLanes;

// What comparing two Packs gives: yes or no in each lane.
struct PackMask {
  RegisterMask r[kRegisters];

  PackMask() = default;
  BRAKEWARD_INLINE PackMask(bool all_lanes){// NOLINT: a uniform condition is a mask
                                            BRAKEWARD_ALL(r[k] = mask_of(all_lanes))}

  BRAKEWARD_INLINE friend PackMask
  operator&(PackMask a, PackMask b) {
    BRAKEWARD_EACH(PackMask, RegisterMask(a.r[k] & b.r[k]));
  }
  BRAKEWARD_INLINE friend PackMask operator|(PackMask a, PackMask b) {
    BRAKEWARD_EACH(PackMask, RegisterMask(a.r[k] | b.r[k]));
  }
  BRAKEWARD_INLINE friend PackMask operator!(PackMask a) { BRAKEWARD_EACH(PackMask, RegisterMask(~a.r[k])); }
};

struct Pack {
  Register r[kRegisters];

  Pack() = default;
  BRAKEWARD_INLINE Pack(double x){// NOLINT: so that 1.0 - pack reads as it should
                                  BRAKEWARD_ALL(r[k] = splat(x))}

  BRAKEWARD_INLINE friend Pack
  operator+(Pack a, Pack b) {
    BRAKEWARD_EACH(Pack, a.r[k] + b.r[k]);
  }
  BRAKEWARD_INLINE friend Pack operator-(Pack a, Pack b) { BRAKEWARD_EACH(Pack, a.r[k] - b.r[k]); }
  BRAKEWARD_INLINE friend Pack operator*(Pack a, Pack b) { BRAKEWARD_EACH(Pack, a.r[k] * b.r[k]); }
  BRAKEWARD_INLINE friend Pack operator/(Pack a, Pack b) { BRAKEWARD_EACH(Pack, a.r[k] / b.r[k]); }
  BRAKEWARD_INLINE friend Pack operator-(Pack a) { BRAKEWARD_EACH(Pack, -a.r[k]); }
  BRAKEWARD_INLINE friend Pack operator+(Pack a) { return a; }

  BRAKEWARD_INLINE Pack& operator+=(Pack b) { return *this = *this + b; }
  BRAKEWARD_INLINE Pack& operator-=(Pack b) { return *this = *this - b; }
  BRAKEWARD_INLINE Pack& operator*=(Pack b) { return *this = *this * b; }
  BRAKEWARD_INLINE Pack& operator/=(Pack b) { return *this = *this / b; }

  BRAKEWARD_INLINE friend PackMask operator<(Pack a, Pack b) {
    BRAKEWARD_EACH(PackMask, less(a.r[k], b.r[k]));
  }
  BRAKEWARD_INLINE friend PackMask operator<=(Pack a, Pack b) {
    BRAKEWARD_EACH(PackMask, less_equal(a.r[k], b.r[k]));
  }
  BRAKEWARD_INLINE friend PackMask operator>(Pack a, Pack b) { return b < a; }
  BRAKEWARD_INLINE friend PackMask operator>=(Pack a, Pack b) { return b <= a; }
  BRAKEWARD_INLINE friend PackMask operator==(Pack a, Pack b) {
    BRAKEWARD_EACH(PackMask, equal(a.r[k], b.r[k]));
  }
  BRAKEWARD_INLINE friend PackMask operator!=(Pack a, Pack b) { return !(a == b); }
};

static_assert(kRegisters <= 4);
static_assert(__is_trivially_copyable(Pack) && __is_trivial(Pack) && sizeof(Pack) == 64);
static_assert(__is_trivially_copyable(PackMask) && __is_trivial(PackMask));

template <>
struct Traits<Pack> {
  using Mask = PackMask;
  static constexpr int lanes = kPackLanes;
};

BRAKEWARD_INLINE Pack select(PackMask mask, Pack yes, Pack no) {
  BRAKEWARD_EACH(Pack, native_select(mask.r[k], yes.r[k], no.r[k]));
}
BRAKEWARD_INLINE Pack min(Pack a, Pack b) {
  BRAKEWARD_EACH(Pack, native_min(a.r[k], b.r[k]));
}
BRAKEWARD_INLINE Pack max(Pack a, Pack b) {
  BRAKEWARD_EACH(Pack, native_max(a.r[k], b.r[k]));
}
BRAKEWARD_INLINE Pack clamp(Pack x, Pack lo, Pack hi) {
  return min(hi, max(lo, x));
}
BRAKEWARD_INLINE Pack sqrt(Pack a) {
  BRAKEWARD_EACH(Pack, native_sqrt(a.r[k]));
}
BRAKEWARD_INLINE Pack fma(Pack a, Pack b, Pack c) {
  BRAKEWARD_EACH(Pack, native_fma(a.r[k], b.r[k], c.r[k]));
}
BRAKEWARD_INLINE Pack abs(Pack a) {
  BRAKEWARD_EACH(Pack, (Register)((RegisterBits)a.r[k] & ~kSignBit));
}

BRAKEWARD_INLINE bool any(PackMask mask) {
  int set = 0;
  BRAKEWARD_ALL(set |= lanes_set(mask.r[k]))
  return set != 0;
}
BRAKEWARD_INLINE bool all(PackMask mask) {
  return !any(!mask);
}

BRAKEWARD_INLINE double get(const Pack& x, int lane) {
  return x.r[lane / kRegisterLanes][lane % kRegisterLanes];
}
BRAKEWARD_INLINE void set(Pack& x, int lane, double value) {
  x.r[lane / kRegisterLanes][lane % kRegisterLanes] = value;
}

template <>
BRAKEWARD_INLINE Pack load<Pack>(const double* const* per_lane, size_t index) {
  BRAKEWARD_EACH(Pack, gather(per_lane + ptrdiff_t{k} * kRegisterLanes, index));
}

BRAKEWARD_INLINE Pack copy_sign(Pack magnitude, Pack sign) {
  BRAKEWARD_EACH(
      Pack, (Register)(((RegisterBits)magnitude.r[k] & ~kSignBit) | ((RegisterBits)sign.r[k] & kSignBit)));
}
BRAKEWARD_INLINE Pack negate_if_odd(Pack x, Pack n) {
  BRAKEWARD_EACH(Pack, (Register)((RegisterBits)x.r[k] ^ ((RegisterBits)(n.r[k] + kRoundingShift) << 63)));
}
BRAKEWARD_INLINE PackMask is_odd(Pack n) {
  BRAKEWARD_EACH(PackMask, lowest_bit((RegisterBits)(n.r[k] + kRoundingShift)));
}
BRAKEWARD_INLINE Pack power_of_two(Pack n) {
  BRAKEWARD_EACH(Pack, (Register)((RegisterBits)(n.r[k] + (kRoundingShift + 1023.0)) << 52));
}
BRAKEWARD_INLINE Pack exponent(Pack x) {
  constexpr double kShift = 0x1p52;
  BRAKEWARD_EACH(Pack,
                 (Register)(((RegisterBits)x.r[k] >> 52) | (RegisterBits)splat(kShift)) - (kShift + 1023.0));
}
BRAKEWARD_INLINE Pack fraction(Pack x) {
  BRAKEWARD_EACH(Pack, (Register)(((RegisterBits)x.r[k] & kFractionBits) | (RegisterBits)splat(1.0)));
}

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::math

#undef BRAKEWARD_EACH
#undef BRAKEWARD_ALL
#undef BRAKEWARD_ONE
