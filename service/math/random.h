// Seeded random numbers with the same bits everywhere: the engine is std::mt19937_64, whose output the C++
// standard fixes; the distributions are this room's own, because the standard leaves std::*_distribution to
// the library.
#pragma once

#include <cstdint>
#include <random>
#include <string_view>

namespace brakeward::math {

// A stream of random numbers. Copyable (the copy continues the same stream); not thread safe.
class Random {
 public:
  explicit Random(uint64_t seed);

  // 64 random bits.
  uint64_t bits();

  // Uniform in [0, 1): a multiple of 2^-53, from the top 53 bits.
  double uniform();

  // Normal deviate, mean 0, standard deviation 1 (Box and Muller 1958: two from two uniforms). At most 8.58
  // in size.
  double normal();

 private:
  std::mt19937_64 engine_;
  double spare_ = 0.0;
  bool has_spare_ = false;
};

// A seed from a name: FNV-1a, 64 bits. Distinct streams get distinct names ("noise/front_left/3").
uint64_t seed_from(std::string_view name);

}  // namespace brakeward::math
