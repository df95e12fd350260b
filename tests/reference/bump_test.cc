// Wheels on their springs against closed forms of the quarter-car model: modes, forced response, flight.
// Parameters of the reference quarter car of the roughness index, per sprung mass: wheel rate 63.3 /s^2, tyre
// 653 /s^2, damping 6 /s, unsprung mass 0.15 (Sayers, Gillespie, Queiroz, World Bank Technical Paper 45,
// 1986, from memory).
#define BRAKEWARD_ISA isa_bump_test
#include <cmath>
#include <complex>
#include <vector>

#include "gtest/gtest.h"
#include "reference/plant_run.h"

namespace brakeward::reference {
namespace {

constexpr double kPi = 3.14159265358979323846;
constexpr double kBody = 300;  // kg

plant::SuspensionParams<double> golden(bool damped) {
  return {0.15 * kBody, 63.3 * kBody, damped ? 6 * kBody : 0, 653 * kBody};
}

// Undamped modes: m_b m_w w^4 - (m_b (k_s + k_t) + m_w k_s) w^2 + k_s k_t = 0.
struct Modes {
  double low, high;  // rad/s
};
Modes modes_of(const plant::SuspensionParams<double>& p) {
  const double b = kBody * (p.rate + p.tyre_rate) + p.unsprung_mass * p.rate;
  const double root = std::sqrt(b * b - 4 * kBody * p.unsprung_mass * p.rate * p.tyre_rate);
  const double over = 2 * kBody * p.unsprung_mass;
  return {std::sqrt((b - root) / over), std::sqrt((b + root) / over)};
}

// Change of the tyre's force after a step of the road, undamped: both modes at rest beforehand, z = 1 in all
// at the new height. Mode shape: z_w / z_b = 1 - m_b w^2 / k_s.
double after_step(const plant::SuspensionParams<double>& p, double height, double t) {
  const Modes m = modes_of(p);
  const double low = 1 - kBody * m.low * m.low / p.rate, high = 1 - kBody * m.high * m.high / p.rate;
  // From both at -height: a + b = -height, low a + high b = -height.
  const double b = -height * (1 - low) / (high - low), a = -height - b;
  return -p.tyre_rate * (low * a * std::cos(m.low * t) + high * b * std::cos(m.high * t));
}

// Greatest difference from the closed form over half a second, in shares of k_t times the step.
double step_error(double h) {
  const auto p = golden(false);
  const double height = 0.01, load = 1e9;
  plant::BumpState<double> s{};
  double worst = 0;
  for (long i = 0; i < std::lround(0.5 / h); ++i) {
    const double force = plant::step_wheel_on_springs(p, kBody, load, height, h, s);
    worst = std::fmax(worst, std::fabs(force - after_step(p, height, (static_cast<double>(i) + 0.5) * h)));
  }
  return worst / (p.tyre_rate * height);
}

// The implicit midpoint rule stretches a period by (w h)^2 / 12: at 1 ms and 11 Hz (71 rad/s) 0.04 %, which
// is 0.015 rad of the wheel's mode after half a second; of second order.
TEST(Bumps, AStepRingsInTheModesOfTheQuarterCar) {
  const Modes m = modes_of(golden(false));
  EXPECT_NEAR(m.low / (2 * kPi), 1.21, 0.01);  // 1.2 Hz and 11 Hz: the model's published modes, from memory
  EXPECT_NEAR(m.high / (2 * kPi), 11.0, 0.1);
  const double at_1_ms = step_error(1e-3);
  EXPECT_LT(at_1_ms, 0.016);
  EXPECT_NEAR(at_1_ms / step_error(0.5e-3), 4, 0.1);
}

// Forced by height e^{i w t}: [k_s + i w c - m_b w^2, -(k_s + i w c); -(k_s + i w c), k_s + k_t + i w c -
// m_w w^2] (z_b, z_w) = (0, k_t).
TEST(Bumps, ASineRoadGivesTheForcedResponse) {
  const auto p = golden(true);
  const double h = 1e-4, height = 0.005;
  for (const double hertz : {0.5, 1.2, 3.0, 8.0, 11.0, 20.0}) {
    const double w = 2 * kPi * hertz;
    const std::complex<double> link(p.rate, w * p.damping);
    const std::complex<double> body = link - kBody * w * w;
    const std::complex<double> wheel = link + p.tyre_rate - p.unsprung_mass * w * w;
    const double gain = std::abs(p.tyre_rate * (1.0 - p.tyre_rate * body / (body * wheel - link * link)));
    plant::BumpState<double> s{};
    double peak = 0;
    const double settled = 4;  // s; the slowest mode decays with 3 /s or faster
    for (long i = 0; i < std::lround((settled + 2 / hertz) / h); ++i) {
      const double t = (static_cast<double>(i) + 0.5) * h;
      const double force = plant::step_wheel_on_springs(p, kBody, 1e9, height * std::sin(w * t), h, s);
      if (t > settled) peak = std::fmax(peak, std::fabs(force));
    }
    EXPECT_NEAR(peak, gain * height, 2e-3 * gain * height) << hertz << " Hz";
  }
}

// Off the ground nothing holds wheel and body but weight: their common centre of mass falls with g.
TEST(Bumps, AWheelThatLeavesTheRoadFalls) {
  const auto p = golden(true);
  const double load = (kBody + p.unsprung_mass) * plant::kGravity, h = 1e-3;
  plant::BumpState<double> s{};
  int flying = 0;
  for (int i = 0; i < 60; ++i) {
    const double before = kBody * s.body_speed + p.unsprung_mass * s.wheel_speed;
    const double force = plant::step_wheel_on_springs(p, kBody, load, -0.25, h, s);
    ASSERT_GE(force, -load);
    if (force > -load) continue;
    ++flying;
    const double after = kBody * s.body_speed + p.unsprung_mass * s.wheel_speed;
    EXPECT_NEAR(after - before, -load * h, 1e-9 * load);
  }
  EXPECT_GT(flying, 30);
}

PlantRun over(std::initializer_list<CurvePoint> left, std::initializer_list<CurvePoint> right,
              bool bumps = true) {
  replay::ReplayPlan plan = sample_pressure_plan({.start_speed = 20}, 0, 0);
  auto& car = plan.params.plant;
  car.road.bump[0] = curve(left, &plan.structure.plant.bump_segments);
  car.road.bump[1] = curve(right, &plan.structure.plant.bump_segments);
  car.suspension[0] = car.suspension[1] = {45, 28e3, 2500, 220e3};
  plan.structure.plant.bumps = bumps;
  PlantRun run(plan);
  run.driver.line_pressure[0] = 20e5;
  run.driver.line_pressure[1] = 12e5;
  return run;
}

TEST(Bumps, AnEvenRoadAtAnyHeightChangesNoBit) {
  PlantRun with = over({{0, 0.05}}, {{0, 0.02}}), without = over({{0, 0}}, {{0, 0}}, false);
  for (int i = 0; i < 3000; ++i) {
    with.step();
    without.step();
    ASSERT_EQ(with.state.speed, without.state.speed) << i;
    for (int w = 0; w < signal::kWheels; ++w) {
      ASSERT_EQ(with.seen.wheel_load[w], without.seen.wheel_load[w]) << i;
      ASSERT_EQ(with.state.slip[w], without.state.slip[w]) << i;
    }
  }
  EXPECT_LT(with.state.speed, 10);
}

// A step 4 m ahead under the left wheels: the front one feels it first, by the step's height times its tyre's
// rate, the rear one a wheelbase later, the right ones never.
TEST(Bumps, EachWheelMeetsTheStepInItsTime) {
  const double height = 0.01;
  PlantRun run = over({{4, 0}, {4.001, height}}, {{0, 0}});
  PlantRun flat = over({{0, 0}}, {{0, 0}});
  double first[2] = {0, 0}, most[2] = {0, 0};
  for (int i = 0; i < 600; ++i) {
    run.step();
    flat.step();
    for (int a = 0; a < 2; ++a) {
      const int left = 2 * a, right = left + 1;
      const double change = run.seen.wheel_load[left] - flat.seen.wheel_load[left];
      if (first[a] == 0 && std::fabs(change) > 100) first[a] = run.state.distance;
      most[a] = std::fmax(most[a], change);
      ASSERT_NEAR(run.seen.wheel_load[right], flat.seen.wheel_load[right], 40) << i;
    }
  }
  EXPECT_NEAR(first[0], 4, 0.05);
  EXPECT_NEAR(first[1], 4 + run.car.wheelbase, 0.05);
  for (const double load : most) {
    EXPECT_GT(load, 0.9 * height * run.car.suspension[0].tyre_rate);
    EXPECT_LT(load, 1.05 * height * run.car.suspension[0].tyre_rate);
  }
}

TEST(Bumps, TheMirroredRoadGivesTheMirroredLoads) {
  PlantRun a = over({{5, 0}, {5.2, 0.04}, {5.4, 0}}, {{9, 0}, {9.1, -0.06}});
  PlantRun b = over({{9, 0}, {9.1, -0.06}}, {{5, 0}, {5.2, 0.04}, {5.4, 0}});
  bool lifted = false;
  for (int i = 0; i < 1500; ++i) {
    a.step();
    b.step();
    ASSERT_EQ(a.state.speed, b.state.speed) << i;
    for (int w = 0; w < signal::kWheels; ++w) {
      ASSERT_EQ(a.seen.wheel_load[w], b.seen.wheel_load[w ^ 1]) << i;
      ASSERT_GE(a.seen.wheel_load[w], 0) << i;
      lifted = lifted || a.seen.wheel_load[w] == 0;
    }
  }
  EXPECT_TRUE(lifted);
}

}  // namespace
}  // namespace brakeward::reference
