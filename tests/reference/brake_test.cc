// Hydraulics and disc torque against handbook numbers.
#define BRAKEWARD_ISA isa_brake_test
#include <cmath>

#include "gtest/gtest.h"
#include "reference/plant_run.h"

namespace brakeward::reference {
namespace {

constexpr double kPi = 3.14159265358979323846, kBar = 1e5;

// Flow into an empty caliper: all in the clearance, no laminar part, no lag, no limits.
double flow_cm3_per_s(double diameter_mm, double bar) {
  PlantRun run(sample_plan());
  run.structure.tick_s = 1e-6;
  for (int a = 0; a < 2; ++a) {
    auto& b = run.car.brake[a];
    const double r = 0.5e-3 * diameter_mm;
    b.flow_gain = 0.61 * kPi * r * r * std::sqrt(2 / 1060.0);
    b.laminar_pressure = 0;
    b.clearance = 1e-3;
    b.knee = 1e-12;
    run.car.actuator[a].lag = 1e-12;
    run.car.actuator[a].flow_limit = run.car.actuator[a].volume_limit = 1;
    run.car.actuator[a].stall_pressure = 1e9;
  }
  run.constants = plant::constants_of(run.car, run.structure);
  plant::start(run.car, run.constants, run.state);
  run.command[0] = run.command[1] = bar * kBar;
  run.step();
  return run.state.hydraulics.caliper[0].volume / 1e-6 * 1e6;
}

// Q = C_d A sqrt(2 dp / rho), C_d 0.61, 1060 kg/m^3 (Bernoulli; derived).
TEST(Hydraulics, OrificeFlow) {
  const double rows[][3] = {{.7, 10, 10.197},  {.7, 50, 22.802},  {.7, 100, 32.246},
                            {.5, 10, 5.203},   {.5, 50, 11.633},  {.5, 100, 16.452},
                            {1.0, 10, 20.811}, {1.0, 50, 46.534}, {1.0, 100, 65.809}};
  for (const auto& row : rows)
    EXPECT_NEAR(flow_cm3_per_s(row[0], row[1]), row[2], 6e-4) << row[0] << " " << row[1];
}

// The caliper law has a closed inverse: with d = p + p(0) in units of K/2, u = (d^2 - k^2) / 2d.
TEST(Hydraulics, CaliperLawAgainstItsInverse) {
  const PlantRun run(sample_plan());
  const auto& b = run.car.brake[0];
  const auto& k = run.constants.axle[0];
  EXPECT_EQ(plant::caliper_at(b, k, 0.0).pressure, 0);
  const double root = std::sqrt(b.clearance * b.clearance + b.knee * b.knee);
  for (double bar : {0.5, 5.0, 20.0, 60.0, 120.0}) {
    const double d = bar * kBar / (0.5 * b.stiffness) + (root - b.clearance);
    const double volume = b.clearance + 0.5 * (d - b.knee * b.knee / d);
    EXPECT_NEAR(plant::caliper_at(b, k, volume).pressure, bar * kBar, 1e-6 * bar * kBar) << bar;
  }
  const double high = 3e-6, step = 1e-9;  // far beyond the knee the slope is K
  const double slope =
      (plant::caliper_at(b, k, high + step).pressure - plant::caliper_at(b, k, high).pressure) / step;
  EXPECT_NEAR(slope, b.stiffness, 2e-3 * b.stiffness);
}

TEST(Hydraulics, VolumeAndFlowLimitsHold) {
  PlantRun run(sample_plan());
  run.car.actuator[0].volume_limit = 0.6e-6;
  run.car.actuator[1].flow_limit = 5e-6;
  run.constants = plant::constants_of(run.car, run.structure);
  run.command[0] = run.command[1] = 100 * kBar;
  bool saturated = false;
  for (int i = 0; i < 2000; ++i) {
    const double before = run.state.hydraulics.caliper[2].volume;
    run.step();
    EXPECT_LE(2 * run.state.hydraulics.caliper[0].volume, 0.6e-6 * (1 + 1e-12));
    EXPECT_LE(2 * (run.state.hydraulics.caliper[2].volume - before), 5e-6 * 0.001 * (1 + 1e-12));
    saturated = saturated || run.seen.flow_saturated > 0;
  }
  EXPECT_TRUE(saturated);
  EXPECT_NEAR(run.seen.authority_margin, 0, 1e-9);
  EXPECT_NEAR(run.seen.pressure[1], 100 * kBar, 10);
}

// First order: t63 = tau, t10-90 = 2.19722 tau, t90 = 2.30259 tau, t95 = 2.99573 tau (derived).
TEST(Hydraulics, ActuatorRisesInFirstOrder) {
  PlantRun run(sample_plan());
  const double tau = 0.025;
  run.car.actuator[0].lag = tau;
  run.constants = plant::constants_of(run.car, run.structure);
  run.command[0] = 50 * kBar;
  const auto time_to = [&](double share) {
    plant::start(run.car, run.constants, run.state);
    double before = 0;
    for (int i = 1;; ++i) {
      run.step();
      const double now = run.state.hydraulics.actuator[0].pressure / (50 * kBar);
      if (now >= share) return (i - 1 + (share - before) / (now - before)) * run.structure.tick_s;
      before = now;
    }
  };
  // A chord of 1 ms cuts an exponential of 25 ms by at most h^2 / 8 tau.
  const double chord = 0.001 * 0.001 / (8 * tau) * 1.1;
  EXPECT_NEAR(time_to(1 - std::exp(-1)), tau, chord);
  EXPECT_NEAR(time_to(0.9), 2.30259 * tau, chord);
  EXPECT_NEAR(time_to(0.95), 2.99573 * tau, chord);
  EXPECT_NEAR(time_to(0.9) - time_to(0.1), 2.19722 * tau, chord);
}

// T = 2 mu p A r (derived): two 42 mm pistons a side, 100 bar, 0.40, 0.130 m; three, 80 bar, 0.45, 0.150 m.
TEST(Brake, DiscTorque) {
  const struct {
    int pistons;
    double bar, friction, radius, torque;
  } rows[] = {{2, 100, .40, .130, 2881.72}, {3, 80, .45, .150, 4488.83}};
  for (const auto& row : rows) {
    replay::ReplayPlan plan = sample_pressure_plan({}, 0, 0);
    auto& b = plan.params.plant.brake[0];
    b.torque_per_pascal = 2 * row.pistons * kPi / 4 * 0.042 * 0.042 * row.radius;
    b.opening_pressure = 0;
    b.pad = curve({{0, row.friction}}, &plan.structure.plant.pad_segments);
    PlantRun run(plan);
    run.driver.line_pressure[0] = row.bar * kBar;
    run.step();
    EXPECT_NEAR(run.seen.brake_torque[0], row.torque, 0.006);
    EXPECT_EQ(run.seen.brake_torque[0], run.seen.brake_torque[1]);
  }
}

}  // namespace
}  // namespace brakeward::reference
