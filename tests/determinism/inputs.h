// The inputs of the kernel batch: fixed, of all sizes and signs, edge cases among them. Needs nothing but
// the standard's engine, so that the program built by each compiler can make them too.
#pragma once

#include <cmath>
#include <limits>
#include <random>
#include <vector>

namespace brakeward::determinism {

// Pairs (a, b), a multiple of 8 of them.
inline std::vector<double> batch_inputs() {
  constexpr double kInfinity = std::numeric_limits<double>::infinity();
  constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
  const std::vector<double> edges = {0.0,       -0.0,       1.0,    -1.0,      0.5,       2.5,
                                     kInfinity, -kInfinity, kNan,   5e-324,    -1e-310,   0x1p-1022,
                                     1e308,     -1e308,     709.78, 709.79,    -745.1,    -745.14,
                                     -708.5,    0.4142,     2.4142, 1.5707963, 3.1415927, 1e5};
  std::vector<double> inputs;
  for (const double a : edges) {
    for (const double b : edges) inputs.insert(inputs.end(), {a, b});
  }
  std::mt19937_64 engine(20240511);
  const auto uniform = [&] { return static_cast<double>(engine() >> 11) * 0x1p-53; };
  for (int i = 0; i < 4000; ++i) {
    const int exponent = static_cast<int>(engine() % 80) - 60;
    const double wide = std::ldexp(uniform() - 0.5, exponent);
    const double narrow = 40.0 * (uniform() - 0.5);
    inputs.insert(inputs.end(), {i % 2 == 0 ? wide : narrow, 10.0 * (uniform() - 0.5)});
  }
  return inputs;
}

}  // namespace brakeward::determinism
