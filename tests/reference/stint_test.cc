// Stints against what is known of them: the energy of a stint is the sum of its stops' energies, and a disc
// that snubs heat again and again follows the closed form for a lumped mass, T_n = dT (1 - r^n) / (1 - r)
// with r = exp(-t / tau).
#include "replay/stint.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "reference/sample_plan.h"

namespace brakeward::reference {
namespace {

constexpr double kPadFriction = 0.42;

// The sample car with pads that do not care for heat, braked too gently for the slip limiter, whose cycles no
// two stops have in common: every stop is the same stop.
replay::ReplayPlan stop_plan(SampleOptions options = {}) {
  options.travel = 0.016;
  replay::ReplayPlan plan = sample_plan(options);
  for (auto& brake : plan.params.plant.brake) {
    int segments = 0;
    brake.pad = curve({{20, kPadFriction}}, &segments);
  }
  return plan;
}

// Held at a speed, brakes released.
replay::ReplayPlan drive_plan(const replay::ReplayPlan& of, double speed, double seconds) {
  replay::ReplayPlan plan = of;
  for (auto& channel : plan.input) channel.assign(1, 0);
  plan.input[replay::kTargetSpeed][0] = speed;
  plan.input[replay::kRecordedDeceleration][0] = plan.input[replay::kRecordedPressure][0] =
      measure::kNotRecorded;
  plan.params.fold.onset_tick = 1e15;
  plan.params.plant.start_speed = speed;
  plan.params.ends_standing = 0;
  plan.params.last_tick = std::round(seconds / plan.structure.plant.tick_s);
  return plan;
}

replay::StintLeg leg_of(const replay::StintPlan& stint, size_t plan, int lap) {
  replay::StintLeg leg;
  const auto& car = stint.plans[plan].params.plant;
  leg.plan = plan;
  leg.lap = lap;
  leg.mass = car.mass;
  leg.static_front = car.static_front;
  leg.cog_height = car.cog_height;
  leg.ambient = car.ambient;
  return leg;
}

// A lap: every plan once.
replay::StintPlan stint_of(std::vector<replay::ReplayPlan> plans, int laps) {
  replay::StintPlan stint;
  stint.name = "made";
  stint.plans = std::move(plans);
  stint.laps = laps;
  for (int lap = 1; lap <= laps; ++lap)
    for (size_t i = 0; i < stint.plans.size(); ++i) stint.legs.push_back(leg_of(stint, i, lap));
  return stint;
}

std::vector<replay::LegFolds> run(const replay::StintPlan& stint) {
  const replay::StintPlan* one = &stint;
  std::vector<std::vector<replay::LegFolds>> folds;
  EXPECT_TRUE(replay::run_stints({&one, 1}, {}, folds).ok());
  return folds.front();
}

double work_of(const replay::LegFolds& leg) {
  return std::accumulate(leg.stint.friction_work, leg.stint.friction_work + 4, 0.0);
}

// The brakes are cold and hot by turns, but a stop from 30 m/s always has the same energy to get rid of. Each
// stop alone, without what went before, is the reference; what is left is that brakes let go at a standstill
// keep their fluid where it is.
TEST(StintEnergy, IsTheSumOfItsStops) {
  constexpr int kLaps = 12;
  const replay::ReplayPlan stop = stop_plan();
  const replay::ReplayPlan standing = drive_plan(stop, 0, 1), driving = drive_plan(stop, 30, 20);
  const auto legs = run(stint_of({stop, standing, driving}, kLaps));
  ASSERT_EQ(legs.size(), 3u * kLaps);
  const double alone = work_of(run(stint_of({stop}, 1)).front());
  double sum = 0;
  for (size_t i = 0; i < legs.size(); i += 3) sum += work_of(legs[i]);
  constexpr double kMostDifference = 1e-4;  // of the sum; measured 6e-7
  std::printf("12 stops %.6f MJ, 12 x one %.6f MJ\n", sum * 1e-6, kLaps * alone * 1e-6);
  EXPECT_NEAR(sum / (kLaps * alone), 1, kMostDifference);
  EXPECT_GT(legs[33].folds.peak_disc[0], legs[0].folds.peak_disc[0] + 100);
  for (size_t i = 0; i < legs.size(); i += 3) {
    EXPECT_EQ(work_of(legs[i + 1]), 0) << "a car at rest rubs nothing";
    EXPECT_LT(legs[i + 2].stint.unasked_work, 1e-3) << "released brakes of this car do not drag";
  }
}

// With pads that fade the energy still is what the car had: half m v^2 with the wheels' J w^2, less what air,
// tyres and engine took, which a longer stop lets them take more of.
TEST(StintEnergy, HardlyChangesWhenTheBrakesFade) {
  const replay::ReplayPlan stop = sample_plan();
  const auto legs = run(stint_of({stop, drive_plan(stop, 0, 1), drive_plan(stop, 30, 5)}, 12));
  const double first = work_of(legs.front()), last = work_of(legs[33]);
  EXPECT_NEAR(last / first, 1, 0.02);
}

// One lumped disc: conducts at once, gives nothing to hub or pads, loses heat to the air by h A alone.
void lump(plant::HeatParams<double>& heat, double film) {
  using Chain = plant::HeatChain<>;
  for (int i = Chain::kBack; i < Chain::kFace; ++i) heat.link[i] = 1e6;
  heat.link[Chain::kHub] = heat.link[Chain::kFace] = 0;
  heat.disc_share = 1;
  heat.radiating = 0;
  heat.convection_at_rest = film;
  heat.convection_per_mps = 0;
}

double disc_capacity(const plant::HeatParams<double>& heat) {
  using Chain = plant::HeatChain<>;
  return std::accumulate(heat.capacity + Chain::kBack, heat.capacity + Chain::kFace + 1, 0.0);
}

TEST(StintHeat, FollowsTheClosedFormOfRepeatedSnubs) {
  constexpr int kSnubs = 15;
  constexpr double kEvery_s = 45;
  replay::ReplayPlan stop = stop_plan();
  for (auto& brake : stop.params.plant.brake) lump(brake.heat, 80);
  for (double& disc : stop.params.plant.start_disc) disc = stop.params.plant.ambient;
  const double tick_s = stop.structure.plant.tick_s;
  const double stop_s = run(stint_of({stop}, 1)).front().folds.finish_tick * tick_s;
  const auto legs =
      run(stint_of({stop, drive_plan(stop, 0, 1), drive_plan(stop, 30, kEvery_s - stop_s - 1)}, kSnubs));
  const auto& heat = stop.params.plant.brake[0].heat;
  const double tau = disc_capacity(heat) / (80 * (heat.face_area + heat.back_area));
  const double rise = legs.front().folds.peak_disc[0] - stop.params.plant.ambient;
  const double r = std::exp(-kEvery_s / tau);
  for (int n : {1, 5, 15}) {
    const double expected = rise * (1 - std::pow(r, n)) / (1 - r);
    const double found =
        legs[static_cast<size_t>(3 * (n - 1))].folds.peak_disc[0] - stop.params.plant.ambient;
    // Heat that comes over a stop instead of at once changes the first rise, which is measured, and nothing
    // else.
    std::printf("snub %2d: %.2f K, closed form %.2f K\n", n, found, expected);
    EXPECT_NEAR(found / expected, 1, 0.001) << n;
  }
}

// Where a drive is cut in two, nothing is lost: the brakes do not know of it.
TEST(StintHeat, DoesNotDependOnWhereADriveIsCut) {
  const replay::ReplayPlan stop = stop_plan();
  const auto whole = run(stint_of({stop, drive_plan(stop, 0, 1), drive_plan(stop, 30, 60)}, 2));
  const auto halves =
      run(stint_of({stop, drive_plan(stop, 0, 1), drive_plan(stop, 30, 30), drive_plan(stop, 30, 30)}, 2));
  for (int a = 0; a < 2; ++a) {
    EXPECT_NEAR(whole[3].folds.peak_disc[a], halves[4].folds.peak_disc[a], 1e-3);
    EXPECT_NEAR(whole[3].stint.peak_fluid[a], halves[4].stint.peak_fluid[a], 1e-3);
  }
}

// Driving and standing take a longer tick than braking. The reference is the same stint at the tick of the
// stops.
TEST(StintHeat, HardlyChangesWithALongerTickWhereNothingBrakes) {
  constexpr double kMostKelvins = 0.01;
  SampleOptions coarse;
  coarse.tick_s = 0.005;
  const replay::ReplayPlan stop = stop_plan(), slow = stop_plan(coarse);
  const auto fine = run(stint_of({stop, drive_plan(stop, 0, 1), drive_plan(stop, 30, 40)}, 6));
  const auto mixed = run(stint_of({stop, drive_plan(slow, 0, 1), drive_plan(slow, 30, 40)}, 6));
  ASSERT_EQ(fine.size(), mixed.size());
  double most = 0;
  for (size_t i = 0; i < fine.size();
       i += 3)  // stops: a face that cools at once is seen later by a longer tick
    for (int a = 0; a < 2; ++a)
      for (const double off : {fine[i].folds.peak_disc[a] - mixed[i].folds.peak_disc[a],
                               fine[i].stint.peak_pad[a] - mixed[i].stint.peak_pad[a],
                               fine[i].stint.peak_fluid[a] - mixed[i].stint.peak_fluid[a]})
        most = std::max(most, std::abs(off));
  std::printf("1 ms everywhere against 5 ms where nothing brakes: %.4f K at most\n", most);
  EXPECT_LT(most, kMostKelvins);
  EXPECT_NEAR(work_of(mixed[15]) / work_of(fine[15]), 1, 1e-5);
}

}  // namespace
}  // namespace brakeward::reference
