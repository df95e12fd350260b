// Load transfer, ideal distribution and lock order of a worked car: m 1500 kg, L 2.70 m, h 0.54 m, static
// front share 0.55 (derived from standard mechanics: N_f = P (psi_f + chi z), chi = h/L = 0.20).
#define BRAKEWARD_ISA isa_statics_test
#include <algorithm>
#include <cmath>

#include "gtest/gtest.h"
#include "reference/plant_run.h"

namespace brakeward::reference {
namespace {

constexpr double kWeight = 1500 * 9.80665;

// The worked car with nothing but brakes: no drag, downforce, rolling resistance or engine, next to massless
// wheels.
replay::ReplayPlan worked_plan(double friction) {
  SampleOptions o;
  o.start_speed = 60;
  o.road_friction = friction;
  replay::ReplayPlan plan = sample_pressure_plan(o, 0, 0);
  auto& car = plan.params.plant;
  car.drag = car.downforce[0] = car.downforce[1] = car.engine_braking = 0;
  for (int a = 0; a < 2; ++a) {
    car.tyre[a].rolling = 0;
    car.tyre[a].inertia = 0.02;
    car.tyre[a].d1 = 1;
    car.tyre[a].d2 = 0;
    car.brake[a].pad = curve({{0, 0.4}}, &plan.structure.plant.pad_segments);
    car.brake[a].opening_pressure = 0;
  }
  return plan;
}

plant::WheelLoads<double> loads_at(const PlantRun& run, double speed) {
  const auto road = plant::road_at(run.car, run.structure, run.state.distance);
  return plant::wheel_loads(run.car, run.constants, run.structure, speed, run.state.transfer, road);
}

TEST(Statics, AxleLoadsOfTheWorkedCar) {
  const struct {
    double z, front, rear;
  } rows[] = {{0, 8090.5, 6619.5},  {.2, 8678.9, 6031.1},  {.4, 9267.3, 5442.7},
              {.6, 9855.7, 4854.3}, {.8, 10444.1, 4265.9}, {1.0, 11032.5, 3677.5}};
  for (const auto& row : rows) {
    PlantRun run(worked_plan(1));
    const double h = run.structure.tick_s;
    for (int i = 0; i < 5000; ++i)
      plant::step_body(run.car, run.constants, -row.z * kWeight, 0.0, run.state.speed, h, run.state);
    const auto loads = loads_at(run, 0.0);
    EXPECT_NEAR(2 * loads.load[0], row.front, 0.06) << row.z;
    EXPECT_NEAR(2 * loads.load[2], row.rear, 0.06) << row.z;
    EXPECT_NEAR(60 - run.state.speed, row.z * 9.80665 * 5, 1e-9);
  }
}

TEST(Statics, DragAndDownforceLoadTheAxles) {
  PlantRun run(sample_plan());
  const double v = 40, drag = run.car.drag * v * v, contact = -5000;
  for (int i = 0; i < 5000; ++i) plant::step_body(run.car, run.constants, contact, 0.0, v, 0.001, run.state);
  const auto loads = loads_at(run, v);
  const double moved = (0.54 * -contact + (0.54 - 0.6) * drag) / 2.70;
  EXPECT_NEAR(2 * loads.load[0], 0.55 * kWeight + run.car.downforce[0] * v * v + moved, 1e-6);
  EXPECT_NEAR(2 * loads.load[2], 0.45 * kWeight + run.car.downforce[1] * v * v - moved, 1e-6);
}

struct Braked {
  double z = 0, f1 = 0, f2 = 0;
  int first_locked = -1;  // axle
  double z_at_limit = 0;  // greatest z before it locked
};

// A slow rise of the brake force with this front share, until an axle locks or z is reached.
Braked brake(double share, double friction, double until_z) {
  PlantRun run(worked_plan(friction));
  Braked out;
  for (double wanted = 0; wanted < until_z; wanted += 0.3e-3) {
    const double torque[] = {share * wanted * kWeight * 0.32, (1 - share) * wanted * kWeight * 0.32};
    for (int a = 0; a < 2; ++a)
      run.driver.line_pressure[a] = torque[a] / (2 * 0.4 * run.car.brake[a].torque_per_pascal);
    run.step();
    const auto& s = run.seen;
    out.z = s.deceleration / 9.80665;
    out.f1 = -s.contact_force[0] / s.wheel_load[0];
    out.f2 = -s.contact_force[2] / s.wheel_load[2];
    for (int a = 0; a < 2 && out.first_locked < 0; ++a)
      if (s.wheel_speed[ptrdiff_t{2} * a] < 0.5) out.first_locked = a;
    if (out.first_locked >= 0) break;
    out.z_at_limit = std::max(out.z_at_limit, out.z);
  }
  return out;
}

// Adhesion used by each axle, f_1 = phi z / (psi_f + chi z), f_2 = (1 - phi) z / (psi_r - chi z): UN R13-H
// Annex 5 (formula from memory, values derived). The slow rise lags by the pitch of the car.
TEST(Statics, AdhesionUtilizationOfAFixedSplit) {
  const struct {
    double share, z, f1, f2;
  } rows[] = {{.65, .2, .2203, .1707}, {.65, .4, .4127, .3784}, {.65, .6, .5821, .6364},
              {.70, .2, .2373, .1463}, {.70, .4, .4444, .3243}, {.70, .6, .6269, .5455},
              {.70, .8, .7887, .8276}, {.75, .2, .2542, .1220}, {.75, .4, .4762, .2703},
              {.75, .6, .6716, .4545}, {.75, .8, .8451, .6897}};
  for (const auto& row : rows) {
    const Braked b = brake(row.share, 1.2, row.z);
    ASSERT_NEAR(b.z, row.z, 0.005);
    EXPECT_NEAR(b.f1, row.f1, 0.02 * row.f1) << row.share << " " << row.z;
    EXPECT_NEAR(b.f2, row.f2, 0.03 * row.f2) << row.share << " " << row.z;
  }
}

// Front locks first where phi > psi_f + chi z; the greatest z is the smaller of mu psi_f / (phi - mu chi) and
// mu psi_r / ((1 - phi) + mu chi) (derived).
TEST(Statics, LockOrderOfAFixedSplit) {
  const struct {
    double share, friction;
    int first;
    double z;
  } rows[] = {{.70, .3, 0, .2578},
              {.70, .8, 1, .7826},
              {.70, 1.0, 1, .9000},
              {.65, .3, 0, .3 * .55 / (.65 - .06)},
              {.65, .8, 1, .8 * .45 / (.35 + .16)},
              {.75, .8, 0, .8 * .55 / (.75 - .16)}};
  for (const auto& row : rows) {
    const Braked b = brake(row.share, row.friction, 1.5);
    EXPECT_EQ(b.first_locked, row.first) << row.share << " " << row.friction;
    EXPECT_NEAR(b.z_at_limit, row.z, 0.02 * row.z) << row.share << " " << row.friction;
  }
}

}  // namespace
}  // namespace brakeward::reference
