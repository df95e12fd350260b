// Bends, banking, vertical curvature, named surfaces and the friction ellipse against closed forms and
// published coefficients.
#define BRAKEWARD_ISA isa_bend_test
#include <algorithm>
#include <cmath>
#include <cstring>

#include "gtest/gtest.h"
#include "reference/plant_run.h"
#include "replay/replay.h"
#include "signal/observables.h"

namespace brakeward::reference {
namespace {

constexpr double kGravity = 9.80665;

// The sample car on a road that bends (1/m, left), falls to the right (rise over run) and dips (1/m).
PlantRun on_road(double path, double banking, double dip, double speed = 30) {
  SampleOptions o;
  o.start_speed = speed;
  replay::ReplayPlan plan = sample_pressure_plan(o, 0, 0);
  plant::PlantStructure& st = plan.structure.plant;
  auto& road = plan.params.plant.road;
  road.path_curvature = curve({{0, path}}, &st.path_segments);
  road.banking = curve({{0, banking}}, &st.banking_segments);
  road.vertical_curvature = curve({{0, dip}}, &st.vertical_segments);
  st.lateral = path != 0 || banking != 0;
  return PlantRun(plan);
}

plant::WheelLoads<double> loads_of(const PlantRun& run, double speed) {
  const auto road = plant::road_at(run.car, run.structure, 0.0);
  return plant::wheel_loads(run.car, run.constants, run.structure, speed, 0.0, road);
}

double sum(const double (&x)[signal::kWheels]) {
  return (x[0] + x[1]) + (x[2] + x[3]);
}

auto lifted(const plant::WheelLoads<double>& loads) {
  return std::count(std::begin(loads.load), std::end(loads.load), 0.0);
}

// Moments about the outer wheels' line: m a_y h = sum of moved load x track (standard mechanics).
TEST(Bend, MovesLoadAcrossAsStaticsSay) {
  const double speed = 30, path = 1 / 150.0;
  const PlantRun run = on_road(path, 0, 0);
  const auto loads = loads_of(run, speed);
  const double lateral = run.car.mass * path * speed * speed;
  EXPECT_NEAR(sum(loads.lateral), lateral, 1e-9 * lateral);
  for (int a = 0; a < 2; ++a) {
    const double* pair = loads.load + ptrdiff_t{2} * a;
    const double moved = lateral * run.car.cog_height * run.car.roll_share[a] / run.car.track[a];
    EXPECT_NEAR(pair[1] - pair[0], 2 * moved, 1e-9 * moved) << "right gains in a left bend";
  }
  // No yaw acceleration: moments of the axles' lateral forces about the centre of gravity balance.
  const double front = loads.lateral[0] + loads.lateral[1], rear = loads.lateral[2] + loads.lateral[3];
  EXPECT_NEAR(front * (1 - run.car.static_front), rear * run.car.static_front, 1e-9 * front);
  EXPECT_EQ(lifted(loads), 0);
}

// A road banked by tan b = c v^2 / g to the inside asks nothing of the tyres, and presses with
// m g / cos b (the banked-road relation of any mechanics textbook).
TEST(Bend, IdealBankingAsksNothingOfTheTyres) {
  const double speed = 25, path = 1 / 200.0;
  const double slope = path * speed * speed / kGravity;
  const PlantRun run = on_road(path, -slope, 0);
  const auto loads = loads_of(run, speed);
  const double weight = run.car.mass * kGravity,
               aero = (run.car.downforce[0] + run.car.downforce[1]) * speed * speed;
  for (const double force : loads.lateral) EXPECT_NEAR(force, 0, 1e-9 * weight);
  EXPECT_NEAR(sum(loads.load) - aero, weight * std::sqrt(1 + slope * slope), 1e-9 * weight);
}

// On a crest of radius R the wheels press with m (g - v^2 / R); in a dip with m (g + v^2 / R).
TEST(Bend, VerticalCurvatureLoadsAndUnloads) {
  const double speed = 20;
  for (const double dip : {-1 / 120.0, 1 / 80.0}) {
    const PlantRun run = on_road(0, 0, dip);
    const double aero = (run.car.downforce[0] + run.car.downforce[1]) * speed * speed;
    EXPECT_NEAR(sum(loads_of(run, speed).load) - aero, run.car.mass * (kGravity + dip * speed * speed), 1e-6);
  }
  const PlantRun flying = on_road(0, 0, -1 / 30.0);
  EXPECT_EQ(sum(loads_of(flying, 30).load), 0);
  EXPECT_EQ(lifted(loads_of(flying, 30)), 4);
}

TEST(Bend, ATraceCountsTheWheelsWithoutLoad) {
  const auto* column = std::find_if(std::begin(signal::kObservables), std::end(signal::kObservables),
                                    [](auto& o) { return std::strcmp(o.name, "lifted_wheels") == 0; });
  for (const double dip : {0.0, -1 / 30.0}) {
    replay::ReplayPlan plan = sample_pressure_plan({.start_speed = 30}, 0, 0);
    plan.params.plant.road.vertical_curvature = curve({{0, dip}}, &plan.structure.plant.vertical_segments);
    const replay::Trace trace = replay::trace(plan);
    EXPECT_EQ(trace.rows[static_cast<size_t>(column - signal::kObservables)], dip == 0 ? 0 : 4);
  }
}

TEST(Bend, AWheelLiftsAndTheOtherCarriesTheAxle) {
  const PlantRun run = on_road(1 / 20.0, 0, 0);
  const auto loads = loads_of(run, 30);
  EXPECT_EQ(lifted(loads), 2);
  EXPECT_EQ(loads.load[0], 0);
  EXPECT_NEAR(loads.load[1] + loads.load[3], sum(loads.load), 1e-9);
  EXPECT_EQ(loads.lateral[0], 0);
}

// Friction ellipse (F_x / D)^2 + (F_y / (r D))^2 <= 1 at every slip, load and lateral force.
TEST(Ellipse, TheResultantNeverLeavesIt) {
  PlantRun run = on_road(1 / 100.0, 0, 0);
  run.car.tyre[0].lateral_ratio = run.car.tyre[1].lateral_ratio = 0.9;
  double fullest = 0;
  for (double load = 200; load < 9000; load += 400)
    for (double lateral = -12000; lateral <= 12000; lateral += 500)
      for (double slip = -1; slip <= 1; slip += 0.01) {
        const double slips[] = {slip, slip, slip, slip}, friction[] = {1, 0.6, 0.3, 0.1};
        const plant::WheelLoads<double> loads{{load, load, load, load}, {lateral, lateral, lateral, lateral}};
        const auto tyre = plant::tyre_forces(run.car, run.constants, run.structure, slips, loads, friction);
        for (int w = 0; w < signal::kWheels; ++w) {
          const double d = tyre.grip[w];
          const double used = std::min(std::fabs(lateral), plant::kMostLateral * 0.9 * d) / (0.9 * d);
          const double whole = std::hypot(tyre.force[w] / d, used);
          ASSERT_LE(whole, 1 + 1e-9) << load << " N, " << lateral << " N, slip " << slip;
          fullest = std::max(fullest, whole);
        }
      }
  EXPECT_GT(fullest, 0.999);
}

// Burckhardt's curves: peak slip ln(c1 c2 / c3) / c2, peak and locked friction derived from the coefficients
// found in public codes (the cobbles' last digits from memory).
TEST(Surface, CurvesPassTheirPublishedPoints) {
  const struct {
    double c1, c2, c3, at, peak, locked;
  } rows[] = {{1.2801, 23.99, .52, .1700, 1.1700, .7601},
              {.857, 33.822, .347, .1308, .8013, .5100},
              {1.1973, 25.168, .5373, .1600, 1.0900, .6600},
              {1.3713, 6.4565, .6691, .4000, 1.0000, .7000},
              {.4004, 33.7080, .1204, .1400, .3800, .2800}};
  PlantRun run = on_road(0, 0, 0);
  run.structure.exponential = true;
  const double load = 4000;
  for (const auto& row : rows) {
    run.car.road.surface = {row.c1, row.c2, row.c3, row.peak};
    const auto force = [&](double slip) {
      const double slips[] = {slip, slip, slip, slip}, friction[] = {1, 1, 1, 0.5};
      const plant::WheelLoads<double> loads{{load, load, load, load}, {}};
      const auto tyre = plant::tyre_forces(run.car, run.constants, run.structure, slips, loads, friction);
      EXPECT_NEAR(tyre.force[3], 0.5 * tyre.force[0], 1e-9 * load);
      EXPECT_EQ(tyre.beyond[0], slip < -std::log(row.c1 * row.c2 / row.c3) / row.c2) << slip;
      return tyre.force[0];
    };
    EXPECT_NEAR(force(-row.at), -row.peak * load, 2e-4 * load);
    EXPECT_NEAR(force(-1), -row.locked * load, 2e-4 * load);
    EXPECT_NEAR(force(-0.03), -load * (row.c1 * (1 - std::exp(-row.c2 * 0.03)) - row.c3 * 0.03), 1e-9 * load);
    EXPECT_EQ(force(0.2), -force(-0.2));
    EXPECT_GE(force(-row.at * 0.9), force(-row.at) - 1e-9);
  }
}

// On a straight road that grips one side better the braking forces turn the car to that side: half the track
// times the difference of the sides, axle by axle (statics).
TEST(Split, UnequalBrakingTurnsTheCarToTheSideThatGrips) {
  PlantRun run = on_road(0, 0, 0, 25);
  run.structure.lateral = false;
  run.car.road.friction[0] = curve({{0, 0.3}}, &run.structure.friction_segments);
  run.car.road.friction[1] = curve({{0, 0.9}}, &run.structure.friction_segments);
  run.driver.line_pressure[0] = 60e5;
  run.driver.line_pressure[1] = 30e5;
  run.run_for(0.5);
  double moment = 0;
  for (int a = 0; a < signal::kAxles; ++a)
    moment += 0.5 * run.car.track[a] * (run.seen.contact_force[2 * a + 1] - run.seen.contact_force[2 * a]);
  EXPECT_NEAR(run.seen.yaw_unmet, moment, 1e-9 * std::abs(moment));
  EXPECT_LT(run.seen.yaw_unmet, -500);  // to the right
  EXPECT_EQ(run.seen.beyond_peak, 1);   // of the wheels on the left
  double grip = 0;
  for (int w = 0; w < signal::kWheels; ++w) grip += std::abs(run.seen.contact_force[w]);
  EXPECT_GT(run.seen.grip, grip);
}

// A stop in a left bend of a split road is the mirror of one in a right bend of the mirrored road.
TEST(Bend, TheMirroredRoadGivesTheMirroredStop) {
  const auto braked = [](double side) {
    PlantRun run = on_road(side / 80.0, side * 0.03, 0.001, 25);
    run.car.road.friction[0] = curve({{0, side > 0 ? 0.9 : 0.6}}, &run.structure.friction_segments);
    run.car.road.friction[1] = curve({{0, side > 0 ? 0.6 : 0.9}}, &run.structure.friction_segments);
    run.driver.line_pressure[0] = 40e5;
    run.driver.line_pressure[1] = 20e5;
    run.run_for(2);
    return run;
  };
  const PlantRun left = braked(1), right = braked(-1);
  EXPECT_LT(left.state.speed, 20);
  EXPECT_NEAR(left.state.speed, right.state.speed, 1e-12);
  for (int w = 0; w < signal::kWheels; ++w) {
    EXPECT_NEAR(left.seen.wheel_load[w], right.seen.wheel_load[w ^ 1], 1e-8);
    EXPECT_NEAR(left.seen.brake_slip[w], right.seen.brake_slip[w ^ 1], 1e-12);
  }
  EXPECT_NEAR(left.seen.yaw_unmet, -right.seen.yaw_unmet, 1e-6);
  EXPECT_NE(left.seen.yaw_unmet, 0);
}

// More is asked than the tyres have: what is missing is the difference, and straight braking gets longer.
TEST(Bend, AnImpossibleBendIsReportedAndTakesBraking) {
  const auto braked = [](double path) {
    PlantRun run = on_road(path, path == 0 ? 1e-12 : 0, 0, 30);
    run.driver.line_pressure[0] = 60e5;
    run.driver.line_pressure[1] = 30e5;
    run.run_for(0.5);
    return run;
  };
  const PlantRun straight = braked(0), tight = braked(1 / 40.0);
  EXPECT_LT(std::fabs(straight.seen.lateral_unmet), 1);
  EXPECT_GT(tight.seen.lateral_unmet, 5000);
  EXPECT_GT(tight.state.speed, straight.state.speed + 0.5);
}

}  // namespace
}  // namespace brakeward::reference
