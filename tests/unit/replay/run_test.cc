// The same bits whatever the engine, the threads, the order and the company of a plan.
#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>
#include <random>
#include <thread>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "reference/sample_plan.h"
#include "replay/engine.h"
#include "replay/machine.h"
#include "replay/replay.h"
#include "replay/self_check.h"
#include "unit/replay/random_plans.h"

namespace brakeward::replay {
namespace {

using FoldList = std::vector<measure::Folds<double>>;

FoldList run_all(const std::vector<const ReplayPlan*>& plans, Engine engine, int threads) {
  Options options;
  options.engine = engine;
  options.threads = threads;
  FoldList folds;
  EXPECT_TRUE(run(plans, options, folds).ok());
  EXPECT_EQ(folds.size(), plans.size());
  return folds;
}

void expect_same(const FoldList& a, const FoldList& b) {
  ASSERT_EQ(a.size(), b.size());
  for (size_t i = 0; i < a.size(); ++i) EXPECT_TRUE(same_bits(a[i], b[i])) << "plan " << i;
}

TEST(Run, LanesGiveTheBitsOfTheScalarEngineForAnyCount) {
  const auto plans = random_plans(41, 1);
  const auto all = pointers_to(plans);
  const FoldList scalar = run_all(all, Engine::kScalar, 1);
  for (size_t count : {0, 1, 2, 3, 7, 8, 9, 16, 17, 41}) {
    const std::vector<const ReplayPlan*> some(all.begin(), all.begin() + static_cast<long>(count));
    const FoldList lanes = run_all(some, Engine::kLanes, 1);
    expect_same(FoldList(scalar.begin(), scalar.begin() + static_cast<long>(count)), lanes);
  }
}

TEST(Run, AnyThreadCountGivesTheSameBits) {
  const auto plans = random_plans(50, 100);
  const FoldList one = run_all(pointers_to(plans), Engine::kLanes, 1);
  for (int threads : {2, 3, 0}) expect_same(one, run_all(pointers_to(plans), Engine::kLanes, threads));
  expect_same(one, run_all(pointers_to(plans), Engine::kScalar, 2));
}

TEST(Run, AnyOrderGivesTheSameBits) {
  const auto plans = random_plans(37, 200);
  auto order = pointers_to(plans);
  const FoldList straight = run_all(order, Engine::kLanes, 2);
  std::mt19937 dice(3);
  for (int round = 0; round < 4; ++round) {
    std::shuffle(order.begin(), order.end(), dice);
    const FoldList mixed = run_all(order, Engine::kLanes, 2);
    for (size_t i = 0; i < order.size(); ++i)
      EXPECT_TRUE(same_bits(mixed[i], straight[static_cast<size_t>(order[i] - plans.data())]));
  }
}

// A replay that turns non-finite says so in its own folds and leaves its neighbours' bits alone.
TEST(Run, ABrokenLaneDoesNotDisturbItsNeighbours) {
  std::vector<ReplayPlan> plans(kLanes, random_plan(300));
  for (int k = 0; k < kLanes; ++k) plans[static_cast<size_t>(k)].params.plant.mass = 1200 + 50 * k;
  const FoldList sound = run_all(pointers_to(plans), Engine::kScalar, 1);
  for (int bad = 0; bad < kLanes; ++bad) {
    auto spoiled = plans;
    spoiled[static_cast<size_t>(bad)].params.plant.mass = std::numeric_limits<double>::quiet_NaN();
    const FoldList found = run_all(pointers_to(spoiled), Engine::kLanes, 1);
    for (int k = 0; k < kLanes; ++k) {
      const auto i = static_cast<size_t>(k);
      if (k == bad)
        EXPECT_EQ(found[i].sound, 0);
      else
        EXPECT_TRUE(same_bits(found[i], sound[i])) << bad << " " << k;
    }
  }
}

using Door = void (*)(const BatchJob&);

// The first `lanes` plans as one batch of an engine, against each alone in the scalar engine.
void expect_batch_like_scalar(Door door, const std::vector<ReplayPlan>& plans, const Structure& structure,
                              int lanes) {
  FoldList folds(kLanes), scalar(kLanes);
  BatchJob job{};
  job.structure = structure;
  job.lanes = lanes;
  for (int k = 0; k < lanes; ++k) {
    const auto i = static_cast<size_t>(k);
    job.lane[k] = lane_of(plans[i], &folds[i], nullptr);
    BatchJob alone{};
    alone.structure = plans[i].structure;
    alone.lanes = 1;
    alone.lane[0] = lane_of(plans[i], &scalar[i], nullptr);
    run_double(alone);
  }
  door(job);
  for (size_t k = 0; k < kLanes; ++k)
    EXPECT_TRUE(same_bits(folds[k], scalar[k])) << "lane " << k << " of " << lanes;
}

// One wheel worked out for both of an axle, against each worked out by itself.
TEST(SidesAlike, ChangeNoBit) {
  std::vector<ReplayPlan> plans;
  for (unsigned seed = 700; plans.size() < 10; ++seed) {
    ReplayPlan plan = random_plan(seed);
    auto& friction = plan.params.plant.road.friction;
    friction[1] = friction[0];
    if (structure_of(plan).plant.sides_alike) plans.push_back(std::move(plan));
  }
  std::vector<Door> doors = {run_double, run_v3};
  if (has_v4()) doors.push_back(run_v4);
  for (Door door : doors)
    for (const ReplayPlan& plan : plans) {
      FoldList folds(2);
      for (size_t alike = 0; alike < 2; ++alike) {
        BatchJob job{};
        job.structure = plan.structure;
        job.structure.plant.sides_alike = alike == 1;
        job.lanes = 1;
        job.lane[0] = lane_of(plan, &folds[alike], nullptr);
        door(job);
      }
      EXPECT_GT(folds[0].finish_tick, 0);
      EXPECT_TRUE(same_bits(folds[0], folds[1])) << plan.name;
    }
}

TEST(SidesAlike, AreNotWhereRoadCarOrBrakesDiffer) {
  ReplayPlan plan = reference::sample_plan({});
  EXPECT_TRUE(structure_of(plan).plant.sides_alike);
  reference::set_friction(1.0, 0.9, plan);
  EXPECT_FALSE(structure_of(plan).plant.sides_alike);
  reference::set_friction(1.0, 1.0, plan);
  for (bool plant::PlantStructure::*differs :
       {&plant::PlantStructure::lateral, &plant::PlantStructure::bumps, &plant::PlantStructure::wheels_apart,
        &plant::PlantStructure::front_locks, &plant::PlantStructure::rear_locks}) {
    plan.structure.plant.*differs = true;
    EXPECT_FALSE(structure_of(plan).plant.sides_alike);
    plan.structure.plant.*differs = false;
  }
}

// Every lane of a full and of a partial batch.
void expect_lanes_like_scalar(Door door) {
  std::vector<ReplayPlan> plans;
  for (unsigned seed = 300; plans.size() < kLanes; ++seed) {
    ReplayPlan plan = random_plan(seed);
    const plant::PlantStructure& st = plan.structure.plant;
    const bool replayed = plan.structure.driver == driver::DriverChoices{} && !plan.structure.feel &&
                          !plan.structure.control.compensates;
    const bool plain = replayed && !plan.structure.fault.sensors && !st.pressure_entry && !st.wheels_apart &&
                       !st.disturbed && !st.pads_lack && !st.seals && st.wear_segments == 0;
    if (plain) plans.push_back(std::move(plan));
  }
  Structure structure = plans[0].structure;
  structure.plant.friction_segments = 3;
  for (int lanes = 1; lanes <= kLanes; ++lanes) expect_batch_like_scalar(door, plans, structure, lanes);
}

// Eight drivers who follow, steer and are felt, by hand or pedal, each with a reaction of his own.
void expect_drivers_like_scalar(Door door) {
  std::vector<ReplayPlan> plans;
  for (int k = 0; k < kLanes; ++k) {
    reference::SampleOptions o;
    o.start_speed = 20 + k;
    o.length_s = 4;
    ReplayPlan plan = reference::sample_plan(o);
    plan.structure.driver.follows = plan.structure.driver.steers = plan.structure.feel = true;
    plan.structure.control.compensates = true;
    const double pedal = k % 2;
    plan.params.follow = {pedal, pedal > 0 ? 40 : 0.002, 37.5 * k, 0.02 + 0.01 * k, pedal > 0 ? 500 : 0.03};
    if (pedal > 0) std::swap(plan.input[kHandTravel], plan.input[kPedalForce]);
    for (double& force : plan.input[kPedalForce]) force *= 1e4;
    auto& speed = plan.input[kFollowedSpeed];
    for (size_t i = 0; i < speed.size(); ++i) speed[i] = o.start_speed - 0.003 * static_cast<double>(i);
    plan.params.steering.angle =
        reference::curve({{5, 0}, {20, 0.2 * k}}, &plan.structure.driver.steering_segments);
    plan.params.plant.hand_shift = 0.0005;
    plan.params.control.request.steering_compensation = 0.0001 * k;
    plan.params.feel = {100.0 + k, 0.5, {1 / 500.0, 1 / 450.0}};
    plans.push_back(std::move(plan));
  }
  expect_batch_like_scalar(door, plans, plans[0].structure, kLanes);
}

// With all that a car and a road may have besides: bend, bumps, limited slip, motors, disturbances.
void expect_all_parts_like_scalar(Door door) {
  std::vector<ReplayPlan> plans = fixed_plans();
  plans.erase(plans.begin(), plans.begin() + kLanes);
  expect_batch_like_scalar(door, plans, plans[0].structure, kLanes);
}

// Plans that differ in what a kernel branches on never share a batch.
TEST(Run, EveryPartIsPartOfTheBatchKey) {
  std::vector<ReplayPlan> plans = random_plans(13, 900);
  const std::vector<ReplayPlan> all = fixed_plans();
  const ReplayPlan& full = all.back();
  for (size_t i = 0; i < plans.size(); ++i) {
    plans[i].params = full.params;
    plans[i].structure = full.structure;
    plant::PlantStructure& st = plans[i].structure.plant;
    bool* parts[] = {&st.lateral,
                     &st.bumps,
                     &st.front_locks,
                     &st.rear_locks,
                     &st.motors,
                     &st.gas,
                     &st.leaks,
                     &st.seals,
                     &st.request_bus,
                     &plans[i].structure.control.supervised,
                     &plans[i].structure.control.selects,
                     &plans[i].structure.control.blends,
                     &plans[i].structure.fault.sensors};
    *parts[i] = false;
  }
  expect_same(run_all(pointers_to(plans), Engine::kScalar, 1),
              run_all(pointers_to(plans), Engine::kLanes, 1));
}

TEST(Engine, LanesOfV3) {
  if (!check_machine().ok()) GTEST_SKIP() << check_machine().message();
  expect_lanes_like_scalar(run_v3);
  expect_all_parts_like_scalar(run_v3);
  expect_drivers_like_scalar(run_v3);
}

TEST(Engine, LanesOfV4) {
  if (!has_v4()) GTEST_SKIP() << "this processor lacks AVX-512";
  expect_lanes_like_scalar(run_v4);
  expect_all_parts_like_scalar(run_v4);
  expect_drivers_like_scalar(run_v4);
}

TEST(Engine, CountingComputesLikeScalar) {
  expect_lanes_like_scalar(run_counting);
  expect_all_parts_like_scalar(run_counting);
  expect_drivers_like_scalar(run_counting);
}

TEST(Run, ACancelledRunSaysSo) {
  const auto plans = random_plans(64, 400);
  std::atomic<bool> cancel{true};
  Options options;
  options.threads = 1;
  options.cancel = &cancel;
  FoldList folds;
  EXPECT_EQ(run(pointers_to(plans), options, folds).code(), absl::StatusCode::kCancelled);
  cancel = false;
  size_t finished = 0;
  options.finished = [&](const std::vector<size_t>& some) {
    finished += some.size();
    cancel = true;
  };
  EXPECT_EQ(run(pointers_to(plans), options, folds).code(), absl::StatusCode::kCancelled);
  EXPECT_GT(finished, 0u);
  EXPECT_LT(finished, plans.size());
}

TEST(Run, EveryPlanIsReportedFinishedOnceWithItsFolds) {
  const auto plans = random_plans(30, 500);
  const FoldList expected = run_all(pointers_to(plans), Engine::kLanes, 1);
  std::vector<size_t> seen;
  Options options;
  options.threads = 3;
  FoldList folds;
  options.finished = [&](const std::vector<size_t>& some) {
    for (size_t plan : some) {
      seen.push_back(plan);
      EXPECT_TRUE(same_bits(folds[plan], expected[plan])) << plan;
    }
  };
  ASSERT_TRUE(run(pointers_to(plans), options, folds).ok());
  std::sort(seen.begin(), seen.end());
  ASSERT_EQ(seen.size(), plans.size());
  for (size_t i = 0; i < seen.size(); ++i) EXPECT_EQ(seen[i], i);
}

// The flag is looked at inside a replay, however long that is: an hour of driving stops at the next look.
TEST(Run, ALongReplayStopsInItsMidst) {
  auto plans = random_plans(8, 700);
  for (auto& plan : plans) {
    plan.params.last_tick = 3.6e6;
    plan.params.ends_standing = 0;
  }
  for (const Engine engine : {Engine::kScalar, Engine::kLanes}) {
    std::atomic<bool> cancel{false};
    Options options;
    options.engine = engine;
    options.threads = 1;
    options.cancel = &cancel;
    std::thread canceller([&] { cancel = true; });
    FoldList folds;
    EXPECT_EQ(run(pointers_to(plans), options, folds).code(), absl::StatusCode::kCancelled);
    canceller.join();
    for (const auto& f : folds) EXPECT_EQ(f.finish_tick, 0) << "not one replay was run to its end";
  }
}

// A replay that turns non-finite is flagged, ends, and leaves its neighbours alone.
TEST(Run, ANonFiniteReplayIsFlaggedAndEnds) {
  auto plans = random_plans(8, 600);
  const FoldList healthy = run_all(pointers_to(plans), Engine::kLanes, 1);
  plans[3].params.plant.mass = std::numeric_limits<double>::quiet_NaN();
  plans[5].params.plant.road.friction[0].y0 = std::numeric_limits<double>::infinity();
  for (Engine engine : {Engine::kScalar, Engine::kLanes}) {
    const FoldList folds = run_all(pointers_to(plans), engine, 1);
    for (size_t i = 0; i < plans.size(); ++i) {
      if (i == 3 || i == 5) {
        EXPECT_EQ(folds[i].sound, 0) << i;
        EXPECT_LT(folds[i].finish_tick, 10) << i;
      } else {
        EXPECT_EQ(folds[i].sound, 1) << i;
        EXPECT_TRUE(same_bits(folds[i], healthy[i])) << i;
      }
    }
  }
}

TEST(Run, AReplayEndsAtStandstillOrAtItsLastTick) {
  const auto plans = random_plans(120, 700);
  const FoldList folds = run_all(pointers_to(plans), Engine::kLanes, 1);
  int standing = 0, timed = 0;
  for (size_t i = 0; i < plans.size(); ++i) {
    EXPECT_LE(folds[i].finish_tick, std::ceil(plans[i].params.last_tick));
    const bool stands = folds[i].last_speed <= measure::kStandstill;
    if (folds[i].finish_tick < plans[i].params.last_tick) {
      EXPECT_TRUE(stands && plans[i].params.ends_standing > 0.5) << i;
      ++standing;
    } else {
      ++timed;
    }
  }
  EXPECT_GT(standing, 3);
  EXPECT_GT(timed, 3);
}

}  // namespace
}  // namespace brakeward::replay
