// The interval against its closed form at the ends, 1 - (alpha/2)^(1/n), and two rows as tables of it print
// them (from memory).
#include "power/interval.h"

#include <gtest/gtest.h>

#include <cmath>

namespace brakeward::power {
namespace {

TEST(ClopperPearson, IsTheClosedFormAtTheEnds) {
  for (const int n : {1, 5, 20, 240}) {
    const double end = 1 - std::pow(0.025, 1.0 / n);
    EXPECT_EQ(clopper_pearson(0, n).lower, 0);
    EXPECT_NEAR(clopper_pearson(0, n).upper, end, 1e-9);
    EXPECT_NEAR(clopper_pearson(n, n).lower, 1 - end, 1e-9);
    EXPECT_EQ(clopper_pearson(n, n).upper, 1);
  }
}

TEST(ClopperPearson, HasTheValuesOfTables) {
  EXPECT_NEAR(clopper_pearson(10, 20).lower, 0.2720, 0.00006);
  EXPECT_NEAR(clopper_pearson(10, 20).upper, 0.7280, 0.00006);
  EXPECT_NEAR(clopper_pearson(5, 10).lower, 0.1871, 0.00006);
  EXPECT_NEAR(clopper_pearson(5, 10).upper, 0.8129, 0.00006);
}

}  // namespace
}  // namespace brakeward::power
