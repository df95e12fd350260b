// The accelerator beside the brake: when it is overruled, how, and when it is given back.
#define BRAKEWARD_ISA isa_overlap_test
#include "gtest/gtest.h"
#include "model/control/overlap.inl.h"

namespace brakeward::control {
namespace {

constexpr double kBar = 1e5, kRate = 0.05;
constexpr int kPlausible = 20;

OverlapParams<double> params(double kept) {
  return {0.10, 5 * kBar, kPlausible, kept, kRate, 0.04};
}

class Overlap {
 public:
  explicit Overlap(double kept = 0.2) : params_(params(kept)) { start(s_); }
  double run(double accelerator, double asked_bar, int ticks) {
    for (int i = 0; i < ticks; ++i) {
      const double before = s_.share;
      overrule(params_, accelerator, asked_bar * kBar, s_);
      EXPECT_LE(s_.share, before + kRate + 1e-15);
      EXPECT_GE(s_.share, before - kRate - 1e-15);
    }
    return s_.share;
  }
  bool overruled() const { return s_.overruled > 0.5; }

 private:
  OverlapParams<double> params_;
  AcceleratorOverlap<double> s_;
};

TEST(AcceleratorOverlap, ABlipIsLeftAlone) {
  Overlap o;
  for (int i = 0; i < 5; ++i) {
    EXPECT_EQ(o.run(0.6, 20, kPlausible), 1);
    EXPECT_EQ(o.run(0, 20, 1), 1);
  }
  EXPECT_EQ(o.run(0.6, 4.9, 1000), 1) << "a foot that rests on the brake";
  EXPECT_EQ(o.run(0.09, 50, 1000), 1) << "a foot that rests on the accelerator";
}

TEST(AcceleratorOverlap, IsOverruledAtItsRateUntilTheAcceleratorIsLetGo) {
  Overlap o;
  o.run(0.6, 20, kPlausible);
  EXPECT_FALSE(o.overruled());
  EXPECT_NEAR(o.run(0.6, 20, 1), 0.95, 1e-12);
  EXPECT_TRUE(o.overruled());
  EXPECT_NEAR(o.run(0.6, 20, 40), 0.2, 1e-12);
  EXPECT_NEAR(o.run(0.6, 0, 1000), 0.2, 1e-12) << "the brake alone does not give it back";
  EXPECT_NEAR(o.run(0.05, 0, 1000), 0.2, 1e-12);
  EXPECT_NEAR(o.run(0.03, 0, 1), 0.25, 1e-12);
  EXPECT_FALSE(o.overruled());
  EXPECT_EQ(o.run(0.6, 0, 40), 1);
}

TEST(AcceleratorOverlap, MayKeepAllAndOnlyShow) {
  Overlap o(1);
  EXPECT_EQ(o.run(0.6, 20, 1000), 1);
  EXPECT_TRUE(o.overruled());
}

}  // namespace
}  // namespace brakeward::control
