// A whole car with a controller that holds it at standstill, overrules the accelerator and restarts: on a
// hill, at a launch, with the accelerator pressed in a stop, after a supply dip.
#include <algorithm>
#include <cmath>

#include "gtest/gtest.h"
#include "reference/sample_plan.h"
#include "replay/replay.h"
#include "signal/observables.h"

namespace brakeward {
namespace {

constexpr double kTick_s = 0.001, kBar = 1e5;
constexpr size_t kState = signal::column_of("request_state"), kDemand = signal::column_of("demand"),
                 kFront = signal::column_of("pressure_front"), kSpeed = signal::column_of("speed"),
                 kDistance = signal::column_of("distance");

class Seen {
 public:
  explicit Seen(const replay::ReplayPlan& plan) : trace_(replay::trace(plan)) {}
  double at(size_t column, double time_s) const {
    return trace_
        .rows[static_cast<size_t>(std::lround(time_s / kTick_s)) * signal::kObservableCount + column];
  }
  // Smallest and greatest value in a stretch.
  std::pair<double, double> range(size_t column, double from_s, double to_s) const {
    std::pair<double, double> out{1e300, -1e300};
    for (double t = from_s; t < to_s; t += kTick_s) {
      out.first = std::min(out.first, at(column, t));
      out.second = std::max(out.second, at(column, t));
    }
    return out;
  }
  double last(size_t column) const {
    return trace_.rows[static_cast<size_t>(trace_.ticks - 1) * signal::kObservableCount + column];
  }

 private:
  replay::Trace trace_;
};

constexpr double kLetGo_s = 3;

// Up a hill of 8 %, stopped by hand, let go at 3 s.
replay::ReplayPlan on_a_hill(double hold_s) {
  reference::SampleOptions o;
  o.start_speed = 5;
  o.travel = 0.016;
  o.release_s = kLetGo_s;
  o.length_s = 6;
  o.grade = 0.08;
  o.ends_standing = false;
  replay::ReplayPlan plan = reference::sample_plan(o);
  reference::supervise(kTick_s, plan);
  reference::equip(kTick_s, plan);
  plan.params.control.hold.longest_ticks = hold_s / kTick_s;
  return plan;
}

TEST(Standstill, ACarOnAHillIsHeldForItsTimeAndRollsBackThen) {
  auto plan = on_a_hill(1);
  const Seen held(plan);
  plan.structure.control.holds = false;
  const Seen free(plan);
  EXPECT_LT(free.at(kSpeed, kLetGo_s + 0.9), -0.3) << "without a hold it rolls back";
  const auto standing = held.range(kSpeed, kLetGo_s, kLetGo_s + 1);
  EXPECT_GT(standing.first, -0.05);
  EXPECT_LT(standing.second, 0.05);
  EXPECT_NEAR(held.at(kDemand, kLetGo_s + 0.9), held.at(kDemand, kLetGo_s - 0.1), 1e-6);
  EXPECT_LT(held.last(kSpeed), -0.3) << "the hold is over";
  for (double t = 0.01; t < 5.9; t += kTick_s) {
    const double change = (held.at(kDemand, t) - held.at(kDemand, t - kTick_s)) * kBar;
    ASSERT_LE(change, plan.params.control.pressure.rise_per_tick * (1 + 1e-9)) << t;
    const double fall =
        t > kLetGo_s ? plan.params.control.hold.release_per_tick : plan.params.control.pressure.fall_per_tick;
    ASSERT_GE(change, -fall * (1 + 1e-9)) << t;
  }
  EXPECT_EQ(held.range(kState, 0, 5.9).second, signal::kReady);
}

TEST(Standstill, ALaunchLetsItGoWithoutRollingBack) {
  auto plan = on_a_hill(60);
  plan.params.fault.accelerator = {4000, 6000, 0.6};
  const Seen seen(plan);
  EXPECT_NEAR(seen.at(kSpeed, 3.9), 0, 0.05);
  EXPECT_GT(seen.at(kDemand, 3.9), 5);
  EXPECT_EQ(seen.at(kDemand, 4.3), 0);
  EXPECT_GT(seen.range(kSpeed, kLetGo_s, 5.9).first, -0.05);
  EXPECT_GT(seen.last(kSpeed), 0.5);
}

// From 30 m/s, the accelerator pressed to its end a moment after the brake.
TEST(Accelerator, PressedInAStopIsOverruledAndShown) {
  reference::SampleOptions o;
  o.travel = 0.014;
  replay::ReplayPlan plan = reference::sample_plan(o);
  reference::supervise(kTick_s, plan);
  reference::equip(kTick_s, plan);
  const Seen alone(plan);
  plan.params.fault.accelerator = {1000, 1e9, 1};
  const Seen overruled(plan);
  plan.structure.control.overlaps = false;
  const Seen kept(plan);
  EXPECT_EQ(overruled.at(kState, 1.18), signal::kReady) << "200 ms are plausible";
  EXPECT_EQ(overruled.at(kState, 1.25), signal::kLimited);
  EXPECT_EQ(kept.at(kState, 1.5), signal::kReady);
  const double alone_m = alone.last(kDistance), overruled_m = overruled.last(kDistance),
               kept_m = kept.last(kDistance);
  EXPECT_GT(overruled_m, alone_m + 1);
  EXPECT_GT(kept_m, overruled_m + 10);
  EXPECT_NEAR(overruled.last(kSpeed), 0, 0.06);
}

TEST(Restart, ADipWhileMovingDropsTheBrakesUntilTheRequestIsReArmed) {
  reference::SampleOptions o;
  o.travel = 0.014;
  o.release_s = 2.5;
  o.length_s = 5;
  o.ends_standing = false;
  o.start_speed = 45;
  replay::ReplayPlan plan = reference::sample_plan(o);
  reference::supervise(kTick_s, plan);
  reference::equip(kTick_s, plan);
  auto& travel = plan.input[replay::kHandTravel];
  std::fill(travel.begin() + 3500, travel.end(), 0.014);
  plan.structure.plant.disturbed = plan.structure.plant.actuator_varies = true;
  for (auto& a : plan.params.plant.actuator) a.per_nominal_supply = 1 / 12.0;
  plan.params.fault.supply = {1500, 1700, 6};
  const Seen seen(plan);
  EXPECT_GT(seen.at(kFront, 1.45), 10);
  EXPECT_EQ(seen.at(kState, 1.6), signal::kLost);
  EXPECT_LT(seen.at(kFront, 1.7), 1);
  EXPECT_LT(seen.range(kFront, 1.7, 3.5).second, 1) << "held through the restart, then let go";
  EXPECT_EQ(seen.at(kState, 2.4), signal::kRearming);
  EXPECT_EQ(seen.at(kState, 3.4), signal::kReady);
  EXPECT_GT(seen.last(kFront), 10);
  // The same dip without a restart is a weaker actuator for a while.
  plan.structure.control.powers_up = false;
  EXPECT_GT(Seen(plan).at(kFront, 1.9), 10);
}

}  // namespace
}  // namespace brakeward
