// Legs of stints: the same bits whatever threads and lanes, what carries over, what ends a stint early.
#include "replay/stint.h"

#include <gtest/gtest.h>

#include <cstring>

#include "reference/sample_plan.h"
#include "replay/engine.h"
#include "replay/machine.h"

namespace brakeward::replay {
namespace {

ReplayPlan plan_of_stop(double travel) {
  reference::SampleOptions options;
  options.travel = travel;
  ReplayPlan plan = reference::sample_plan(options);
  plan.structure.plant.gas = plan.structure.plant.wheels_apart = true;
  plan.structure.plant.actuator_varies = plan.structure.plant.disturbed = true;
  plan.params.fault.supply_volts = 12;
  plan.params.fault.supply = {1e15, 1e15, 0};
  for (auto& brake : plan.params.plant.brake) {
    brake.boiling = 250;
    brake.vapour_growth = 2e-8;
    brake.vapour_limit = 1e-5;
  }
  for (auto& actuator : plan.params.plant.actuator) {
    actuator.heat_at_stall = 500;
    actuator.per_heat_capacity = 1.0 / 250;
    actuator.cooling = 1.5;
    actuator.derating_from = 60;
    actuator.derating_per_kelvin = 0.01;
    actuator.derated = 0.5;
  }
  return plan;
}

StintPlan stint_of(double travel, int laps) {
  StintPlan stint;
  stint.name = "made";
  stint.plans.push_back(plan_of_stop(travel));
  stint.laps = laps;
  for (int lap = 1; lap <= laps; ++lap) {
    StintLeg leg;
    leg.lap = lap;
    const auto& car = stint.plans[0].params.plant;
    leg.mass = car.mass - lap;
    leg.static_front = car.static_front;
    leg.cog_height = car.cog_height;
    leg.ambient = car.ambient;
    leg.request_factor = 1 - 0.01 * lap;
    leg.resting_travel = 0.001;
    stint.legs.push_back(leg);
  }
  return stint;
}

template <class Folds>
bool same(const Folds& a, const Folds& b) {
  // Bits are what is compared. NOLINTNEXTLINE(bugprone-suspicious-memory-comparison)
  return std::memcmp(&a, &b, sizeof a) == 0;
}

bool same_legs(const std::vector<LegFolds>& a, const std::vector<LegFolds>& b) {
  if (a.size() != b.size()) return false;
  for (size_t i = 0; i < a.size(); ++i)
    if (!same(a[i].folds, b[i].folds) || !same(a[i].stint, b[i].stint)) return false;
  return true;
}

std::vector<std::vector<LegFolds>> run(const std::vector<StintPlan>& stints, int threads) {
  std::vector<const StintPlan*> pointers;
  for (const StintPlan& s : stints) pointers.push_back(&s);
  StintOptions options;
  options.threads = threads;
  std::vector<std::vector<LegFolds>> folds;
  EXPECT_TRUE(run_stints(pointers, options, folds).ok());
  return folds;
}

TEST(Stints, GiveTheSameBitsOnAnyNumberOfThreads) {
  const std::vector<StintPlan> stints = {stint_of(0.02, 3), stint_of(0.025, 4), stint_of(0.03, 2)};
  const auto one = run(stints, 1), three = run(stints, 3);
  for (size_t i = 0; i < stints.size(); ++i) EXPECT_TRUE(same_legs(one[i], three[i])) << i;
}

// Legs of eight stints beside one another in lanes, against each by itself.
TEST(Stints, GiveTheSameBitsInLanes) {
  constexpr int kLaps = 3;
  std::vector<StintPlan> stints;
  for (int k = 0; k < kLanes; ++k) stints.push_back(stint_of(0.016 + 0.002 * k, kLaps));
  const auto scalar = run(stints, 1);
  for (const auto door : {run_v3, run_v4}) {
    if (door == run_v4 && !has_v4()) continue;
    std::vector<KeptState> kept(kLanes);
    for (size_t leg = 0; leg < kLaps; ++leg) {
      std::vector<ReplayPlan> plans;
      for (const StintPlan& s : stints) plans.push_back(plan_of(s, s.legs[leg]));
      std::vector<LegFolds> folds(kLanes);
      BatchJob job{};
      job.structure = plans[0].structure;
      job.lanes = kLanes;
      job.stint = true;
      for (size_t k = 0; k < kLanes; ++k) {
        job.lane[k] = lane_of(plans[k], &folds[k].folds, nullptr);
        job.lane[k].from = leg > 0 ? &kept[k] : nullptr;
        job.lane[k].to = &kept[k];
        job.lane[k].stint = &folds[k].stint;
      }
      door(job);
      for (size_t k = 0; k < kLanes; ++k) {
        EXPECT_TRUE(same(folds[k].folds, scalar[k][leg].folds)) << "lane " << k << ", leg " << leg;
        EXPECT_TRUE(same(folds[k].stint, scalar[k][leg].stint)) << "lane " << k << ", leg " << leg;
      }
    }
  }
}

TEST(Stints, CarryHeatOfBrakesAndActuatorsOver) {
  const auto legs = run({stint_of(0.03, 4)}, 1).front();
  for (size_t i = 1; i < legs.size(); ++i)
    for (int a = 0; a < 2; ++a) {
      EXPECT_GT(legs[i].folds.peak_disc[a], legs[i - 1].folds.peak_disc[a]);
      EXPECT_GT(legs[i].stint.peak_fluid[a], legs[i - 1].stint.peak_fluid[a]);
      EXPECT_GT(legs[i].stint.peak_winding[a], legs[i - 1].stint.peak_winding[a]);
    }
}

// A single leg is the replay of its plan.
TEST(Stints, BeginLikeAReplay) {
  const StintPlan stint = stint_of(0.03, 2);
  const ReplayPlan plan = plan_of(stint, stint.legs[0]);
  measure::Folds<double> alone;
  BatchJob job{};
  job.structure = plan.structure;
  job.lanes = 1;
  job.lane[0] = lane_of(plan, &alone, nullptr);
  run_double(job);
  EXPECT_TRUE(same(alone, run({stint}, 1).front().front().folds));
}

TEST(Stints, TellEveryLapAndEndWithTheLegThatBreaks) {
  StintPlan stint = stint_of(0.03, 3);
  std::vector<int> laps;
  StintOptions options;
  options.lap = [&](size_t, int lap) { laps.push_back(lap); };
  const StintPlan* one = &stint;
  std::vector<std::vector<LegFolds>> folds;
  ASSERT_TRUE(run_stints({&one, 1}, options, folds).ok());
  EXPECT_EQ(laps, (std::vector<int>{1, 2, 3}));
  stint.legs[1].mass = std::nan("");
  ASSERT_TRUE(run_stints({&one, 1}, {}, folds).ok());
  ASSERT_EQ(folds[0].size(), 2u);
  EXPECT_EQ(folds[0][1].folds.sound, 0);
}

TEST(Stints, AreGivenUpWhenTheFlagIsRaised) {
  const StintPlan stint = stint_of(0.03, 3);
  const std::atomic<bool> raised{true};
  StintOptions options;
  options.cancel = &raised;
  const StintPlan* one = &stint;
  std::vector<std::vector<LegFolds>> folds;
  EXPECT_EQ(run_stints({&one, 1}, options, folds).code(), absl::StatusCode::kCancelled);
}

}  // namespace
}  // namespace brakeward::replay
