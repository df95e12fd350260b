// The hold at standstill against the same rules written as plain branches, over random sequences; and single
// rules by name.
#define BRAKEWARD_ISA isa_hold_test
#include <algorithm>
#include <random>

#include "gtest/gtest.h"
#include "model/control/hold.inl.h"

namespace brakeward::control {
namespace {

constexpr double kBar = 1e5;
constexpr int kStanding = 10, kLongest = 30;

HoldParams<double> params() {
  return {0.2, kStanding, 0.8, 40 * kBar, kLongest, 0.6, 0.05, 2 * kBar};
}

class Held {
 public:
  Held() { start(s_); }
  double step(double reference, double accelerator, double asked) {
    demand_ = hold_at_standstill(params(), reference, accelerator, asked, demand_, s_);
    return demand_;
  }
  double stand(int ticks, double asked) {
    for (int i = 0; i < ticks; ++i) step(0, 0, asked);
    return demand_;
  }
  double kept() const { return s_.pressure; }
  bool holding() const { return s_.holding > 0.5; }

 private:
  StandstillHold<double> s_;
  double demand_ = 0;
};

TEST(StandstillHold, KeepsAShareOfWhatWasReachedOnceTheCarHasStood) {
  Held car;
  EXPECT_EQ(car.stand(kStanding, 20 * kBar), 20 * kBar);
  EXPECT_FALSE(car.holding());
  EXPECT_EQ(car.step(0, 0, 0), 0) << "let go too early";
  car.stand(1, 20 * kBar);
  EXPECT_TRUE(car.holding());
  car.stand(1, 20 * kBar);
  EXPECT_EQ(car.step(0, 0, 0), 0.8 * 20 * kBar);
  EXPECT_EQ(car.step(0, 0, 5 * kBar), 0.8 * 20 * kBar);
  EXPECT_EQ(car.step(0, 0, 90 * kBar), 90 * kBar) << "the driver may ask for more";
  car.stand(1, 90 * kBar);
  EXPECT_EQ(car.step(0, 0, 0), 40 * kBar) << "the limit";
}

// A demand that was asked for and not reached is not held.
TEST(StandstillHold, NeverKeepsMoreThanWasReached) {
  StandstillHold<double> s;
  start(s);
  for (int i = 0; i < 50; ++i) hold_at_standstill(params(), 0.0, 0.0, 60 * kBar, 10 * kBar, s);
  EXPECT_EQ(hold_at_standstill(params(), 0.0, 0.0, 0.0, 10 * kBar, s), 8 * kBar);
}

TEST(StandstillHold, EndsWithTheAcceleratorWithRollingAndWithTime) {
  const auto held = [] {
    Held car;
    car.stand(50, 30 * kBar);
    EXPECT_EQ(car.stand(kLongest, 0), 24 * kBar);
    EXPECT_TRUE(car.holding());
    return car;
  };
  Held late = held();
  EXPECT_EQ(late.step(0, 0, 0), 22 * kBar) << "its time is over";
  EXPECT_EQ(late.step(0, 0, 0), 20 * kBar);
  Held launched = held();
  EXPECT_EQ(launched.step(0, 0.05, 30 * kBar), 30 * kBar);
  EXPECT_TRUE(launched.holding()) << "at the threshold";
  EXPECT_EQ(launched.step(0, 0.06, 0), 22 * kBar);
  for (int i = 0; i < 12; ++i) launched.step(0, 0, 0);
  EXPECT_EQ(launched.step(0, 0, 0), 0);
  Held rolling = held();
  rolling.stand(1, 30 * kBar);
  EXPECT_EQ(rolling.step(0.7, 0, 0), 22 * kBar);
  EXPECT_FALSE(rolling.holding());
}

TEST(StandstillHold, DoesNotBeginWithoutARequest) {
  Held car;
  EXPECT_EQ(car.stand(1000, 0), 0);
  EXPECT_FALSE(car.holding());
}

// The same rules, one branch at a time.
class PlainHold {
 public:
  double step(double reference, double accelerator, double asked, double demand) {
    standing_ = reference < 0.2 ? standing_ + 1 : 0;
    let_go_ = asked > 0 ? 0 : let_go_ + 1;
    const bool stands = asked > 0 && standing_ > kStanding;
    if (reference > 0.6 || accelerator > 0.05 || let_go_ > kLongest)
      holding_ = false;
    else if (stands)
      holding_ = true;
    if (!holding_)
      held_ = std::max(0.0, held_ - 2 * kBar);
    else if (stands)
      held_ = std::max(held_, std::min(40 * kBar, 0.8 * demand));
    return std::max(asked, held_);
  }
  bool holding() const { return holding_; }

 private:
  int standing_ = 0, let_go_ = 0;
  bool holding_ = false;
  double held_ = 0;
};

TEST(StandstillHold, FollowsThePlainRulesOverRandomSequences) {
  int held = 0, free = 0;
  for (unsigned seed = 0; seed < 200; ++seed) {
    std::mt19937 dice(seed);
    const auto chance = [&] { return static_cast<double>(dice()) * 0x1p-32; };
    StandstillHold<double> s;
    start(s);
    PlainHold plain;
    double reference = 0, accelerator = 0, asked = 0, demand = 0, worst = 0;
    for (int i = 0; i < 1000; ++i) {
      if (chance() < 0.02) reference = chance() < 0.7 ? 0.15 * chance() : 1.5 * chance();
      if (chance() < 0.03) accelerator = chance() < 0.7 ? 0 : 0.2 * chance();
      if (chance() < 0.03) asked = chance() < 0.4 ? 0 : 80 * kBar * chance();
      const double now = hold_at_standstill(params(), reference, accelerator, asked, demand, s);
      ASSERT_EQ(now, plain.step(reference, accelerator, asked, demand)) << "seed " << seed << " tick " << i;
      ASSERT_EQ(s.holding > 0.5, plain.holding());
      worst = std::max(worst, asked);
      ASSERT_LE(s.pressure, worst) << "nothing is held that nobody asked for";
      demand += std::clamp(now - demand, -kBar, 0.5 * kBar);
      ++(plain.holding() ? held : free);
    }
  }
  EXPECT_GT(held, 10000);
  EXPECT_GT(free, 10000);
}

}  // namespace
}  // namespace brakeward::control
