// Bounds of a share seen in a sample.
#pragma once

#include <boost/math/distributions/binomial.hpp>

namespace brakeward::power {

struct Interval {
  double lower = 0, upper = 1;
};

// Clopper and Pearson's two-sided interval at 95 %, from Boost.Math.
inline Interval clopper_pearson(int seen, int of) {
  using Binomial = boost::math::binomial_distribution<>;
  constexpr double kTail = 0.025;
  if (of == 0) return {};
  return {Binomial::find_lower_bound_on_p(of, seen, kTail), Binomial::find_upper_bound_on_p(of, seen, kTail)};
}

}  // namespace brakeward::power
