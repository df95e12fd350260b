#include "math/random.h"

#include <cmath>

#include "math/elementary.h"

namespace brakeward::math {

Random::Random(uint64_t seed) : engine_(seed) {}

uint64_t Random::bits() {
  return engine_();
}

double Random::uniform() {
  return static_cast<double>(bits() >> 11) * 0x1p-53;
}

double Random::normal() {
  if (has_spare_) {
    has_spare_ = false;
    return spare_;
  }
  constexpr double kTwoPi = 0x1.921fb54442d18p+2;
  const double radius = std::sqrt(-2.0 * logarithm(1.0 - uniform()));
  const double angle = kTwoPi * uniform();
  spare_ = radius * sine(angle);
  has_spare_ = true;
  return radius * cosine(angle);
}

uint64_t seed_from(std::string_view name) {
  uint64_t hash = 0xcbf29ce484222325;
  for (const char c : name) {
    hash ^= static_cast<unsigned char>(c);
    hash *= 0x100000001b3;
  }
  return hash;
}

}  // namespace brakeward::math
