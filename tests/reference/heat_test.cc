// The heat of a wheel brake against closed forms: conduction, convection, radiation, one stop, many snubs.
#define BRAKEWARD_ISA isa_heat_test
#include <cmath>
#include <cstdio>
#include <vector>

#include "gtest/gtest.h"
#include "reference/heat_chain.h"
#include "reference/plant_run.h"

namespace brakeward::reference {
namespace {

constexpr double kPi = 3.14159265358979323846;
constexpr double kDefaultStep_s = 0.004;  // four ticks of 1 ms
constexpr double kConductivity = 52, kStorage = 7200.0 * 460, kDiffusivity = kConductivity / kStorage;

double semi_infinite(double flux, double t) {
  return 2 * flux / kConductivity * std::sqrt(kDiffusivity * t / kPi);
}

// The formulas give what their handbook rows say: q 1e6 W/m^2 after 1 s, 3e6 after 2 s and 4 s (formula from
// memory, of Carslaw and Jaeger, Conduction of Heat in Solids; the case X20B1T0 of Beck's catalogue).
TEST(Heat, HandbookRowsOfTheSemiInfiniteSolid) {
  EXPECT_NEAR(semi_infinite(1e6, 1), 85.982, 5e-4);
  EXPECT_NEAR(semi_infinite(3e6, 2), 364.791, 5e-4);
  EXPECT_NEAR(semi_infinite(3e6, 4), 515.893, 5e-4);
}

// T_s - T_0 = (2 q / k) sqrt(a t / pi). 5 % is asked for from 0.1 s to 2 s; the grid is meant to give 2 %.
TEST(Heat, FaceOfASemiInfiniteSolidUnderConstantFlux) {
  for (double half : {0.012, 0.016, 0.020}) {
    HeatRun<> run(bare_slab(half), kDefaultStep_s, 0, 0);
    for (double t : {0.1, 0.2, 0.3, 0.5, 0.7, 1.0, 1.4, 2.0}) {
      run.run_to(t, [](double) { return 1e6; });
      const double want = semi_infinite(1e6, t);
      std::printf("half %2.0f mm %.1f s: %8.3f K, closed form %8.3f K, %+.2f %%\n", half * 1e3, t, run.face(),
                  want, 100 * (run.face() / want - 1));
      EXPECT_NEAR(run.face(), want, 0.02 * want) << half << " m, " << t << " s";
    }
  }
}

// q0 (1 - t / t_s): (2 q0 / sqrt(pi k rho c)) sqrt(t) (1 - 2 t / 3 t_s); q0 3e6, t_s 4 s: peak 243.194 K at
// half the time, 171.964 K at the end (derived from the constant flux by superposition).
TEST(Heat, FaceOfASemiInfiniteSolidUnderFallingFlux) {
  const double stop = 4, q = 3e6;
  const auto want = [&](double t) { return semi_infinite(q, t) * (1 - 2 * t / (3 * stop)); };
  EXPECT_NEAR(want(2), 243.194, 5e-4);
  EXPECT_NEAR(want(4), 171.964, 5e-4);
  HeatRun<> run(bare_slab(0.020), kDefaultStep_s, 0, 0);
  double peak = 0, peak_at = 0;
  for (int i = 1; i <= 1000; ++i) {
    run.run_to(i * kDefaultStep_s, [&](double t) { return q * (1 - t / stop); });
    if (run.face() > peak) {
      peak = run.face();
      peak_at = run.time;
    }
    if (run.time > 0.099) {
      EXPECT_NEAR(run.face(), want(run.time), 0.02 * want(run.time)) << run.time;
    }
  }
  EXPECT_NEAR(peak, 243.194, 0.01 * 243.194);
  EXPECT_NEAR(peak_at, 2, 0.1);
}

// A slab with an insulated back: q t / (rho c L) + (q L / k) (1/3 - 2/pi^2 sum exp(-a n^2 pi^2 t / L^2) /
// n^2) (Carslaw and Jaeger, 3.8; from memory). In the long run the mean rises as q t / (rho c L) exactly.
TEST(Heat, FiniteSlabInTheLongRun) {
  const double half = 0.012, q = 5e5;
  HeatRun<> run(bare_slab(half), kDefaultStep_s, 0, 0);
  for (double t : {1.0, 3.0, 10.0, 30.0}) {
    run.run_to(t, [&](double) { return q; });
    double sum = 0;
    for (int n = 1; n < 100; ++n)
      sum += std::exp(-kDiffusivity * n * n * kPi * kPi * t / (half * half)) / (n * n);
    const double bulk = q * t / (kStorage * half);
    const double want = bulk + q * half / kConductivity * (1.0 / 3 - 2 / (kPi * kPi) * sum);
    std::printf("%4.0f s: %8.3f K, closed form %8.3f K\n", t, run.face(), want);
    EXPECT_NEAR(run.face(), want, 0.02 * want) << t;
    EXPECT_NEAR(run.mean(), bulk, 1e-9 * bulk) << t;
  }
}

// A slab cooled at its face: in the end everything falls as exp(-z^2 a t / L^2) with z tan z = h L / k (from
// memory; Newton's root here).
TEST(Heat, SlabCooledAtItsFaceFallsAtItsEigenvalue) {
  plant::BrakeHeat b = bare_slab(0.020);
  b.cooling_area = 1;
  b.convection_at_rest = 500;
  const double biot = 500 * 0.020 / kConductivity;
  double z = std::sqrt(biot);
  for (int i = 0; i < 20; ++i) {
    const double tangent = std::tan(z);
    z -= (z * tangent - biot) / (tangent + z * (1 + tangent * tangent));
  }
  HeatRun<> run(b, kDefaultStep_s, 400, 0);
  run.run_to(60);
  const double before = run.face();
  run.run_to(160);
  const double rate = std::log(before / run.face()) / 100;
  EXPECT_NEAR(rate, z * z * kDiffusivity / (0.020 * 0.020), 0.01 * rate);
}

// A body without gradients that radiates to absolute zero: T = T_0 (1 + 3 b T_0^3 t)^(-1/3) with
// b = e s A / C (derived by integration).
TEST(Heat, RadiationAloneToAbsoluteZero) {
  plant::BrakeHeat b = bare_slab(0.010);
  b.disc_conductivity = 1e9;
  b.cooling_area = 1;
  b.emissivity = 0.55;
  const double rate = 0.55 * 5.670374419e-8 / (kStorage * 0.010), from = 1000;
  HeatRun<> run(b, kDefaultStep_s, from - 273.15, -273.15);
  for (double t : {1.0, 30.0, 300.0}) {
    run.run_to(t);
    const double want = from * std::pow(1 + 3 * rate * from * from * from * t, -1.0 / 3);
    EXPECT_NEAR(run.face() + 273.15, want, 0.01) << t;
  }
}

// Where friction and radiation balance: T = (q / (e s) + T_air^4)^(1/4) (Stefan and Boltzmann).
TEST(Heat, RadiationBalancesFriction) {
  plant::BrakeHeat b = bare_slab(0.002);
  b.cooling_area = 1;
  b.emissivity = 0.55;
  const double watts = 20e3, air = 25 + 273.15;
  HeatRun<> run(b, kDefaultStep_s, 25, 25);
  run.run_to(3000, [&](double) { return watts; });
  const double want = std::pow(watts / (0.55 * 5.670374419e-8) + air * air * air * air, 0.25) - 273.15;
  EXPECT_NEAR(run.face(), want, 0.05);
}

// Effusivities sqrt(k rho c): iron 13123.4, pads 1643.2, pad over swept area 0.15: 0.98156 into the disc
// (derived).
TEST(Heat, ShareByEffusivity) {
  plant::BrakeHeat b = sample_heat(9);
  b.disc_specific_heat = 460;
  b.pad_area = 0.15 * plant::swept_area(b);
  EXPECT_NEAR(plant::share_by_effusivity(b), 0.98156, 5e-6);
  b.disc_share.reset();
  HeatRun<> run(b, kDefaultStep_s, 0, 0);
  const auto& c = run.constants;
  run.step(1000);
  double disc = 0;
  for (int i = plant::HeatChain<>::kHub; i <= plant::HeatChain<>::kFace; ++i)
    disc += c.stored[i] * run.at(i) * kDefaultStep_s;
  EXPECT_NEAR(disc, 981.56, 0.1);  // the pads have begun to trade with the disc
}

// What a chain stores and what it has lost, written once more: heat in = stored + lost, whatever the step.
TEST(Heat, BalanceCloses) {
  for (double step : {0.0005, 0.004, 0.005, 0.5}) {
    HeatRun<> run(sample_heat(8.5), step, 180, 20);
    const auto& p = run.params;
    using Chain = plant::HeatChain<>;
    double in = 0, lost = 0, had = 0, has = 0;
    for (int i = 0; i < Chain::kNodes; ++i) had += p.capacity[i] * run.at(i);
    for (int n = 0; n < 20000; ++n) {
      run.speed = 30 + 25 * std::sin(0.001 * n);
      const double film = p.convection_at_rest + p.convection_per_mps * run.speed;
      const double hot = run.face() + 273.15, cold = 20 + 273.15;
      const double radiated =
          p.radiating * 5.670374419e-8 * (std::pow(hot, 4) - std::pow(cold, 4)) / (hot - cold);
      const auto loses = [&](int i, double watts_per_kelvin) {
        const double fall = run.at(i) - 20;
        lost += fall * std::fmin(p.capacity[i], watts_per_kelvin * step);
      };
      loses(Chain::kHub, film * p.hub_area);
      loses(Chain::kBack, film * p.back_area);
      loses(Chain::kFace, film * p.face_area + radiated);
      loses(Chain::kCaliper, film * p.caliper_area);
      const double work = n % 3000 < 800 ? 60e3 * step : 0;
      in += work;
      run.step(work);
    }
    for (int i = 0; i < Chain::kNodes; ++i) has += p.capacity[i] * run.at(i);
    std::printf("step %.1f ms: in %.0f J, stored %.0f J, lost %.0f J, open %.2e\n", step * 1e3, in, has - had,
                lost, (in - (has - had) - lost) / in);
    EXPECT_GT(lost, 0.02 * in);
    EXPECT_NEAR(in, has - had + lost, 1e-6 * in);
  }
}

template <int kDisc>
double worst_percent(double growth) {
  HeatRun<kDisc> run(bare_slab(0.020), 1e-4, 0, 0, growth);
  double worst = 0;
  for (int i = 1; i <= 20; ++i) {
    run.run_to(0.1 * i, [](double) { return 1e6; });
    worst = std::fmax(worst, std::fabs(100 * (run.face() / semi_infinite(1e6, run.time) - 1)));
  }
  return worst;
}

// More nodes are never worse, and with enough of them the closed form itself is left.
TEST(Heat, ConvergesInNodes) {
  const double at[] = {worst_percent<3>(2), worst_percent<4>(2),    worst_percent<5>(2),
                       worst_percent<6>(2), worst_percent<12>(1.5), worst_percent<40>(1.1)};
  std::printf("worst of 0.1 to 2 s, %%: 3 nodes %.2f, 4 %.2f, 5 %.2f, 6 %.2f, 12 %.3f, 40 %.3f\n", at[0],
              at[1], at[2], at[3], at[4], at[5]);
  for (int i = 1; i < 6; ++i) EXPECT_LT(at[i], at[i - 1]);
  EXPECT_LT(at[5], 0.1);
}

// First order: half the step, half the distance from the next one.
TEST(Heat, ConvergesInTime) {
  std::vector<double> face;
  for (double step : {0.008, 0.004, 0.002, 0.001, 0.0005}) {
    HeatRun<> run(sample_heat(8.5), step, 100, 20);
    run.speed = 30;
    run.run_to(1, [](double t) { return 120e3 * (1 - 0.5 * t); });
    face.push_back(run.face());
  }
  for (size_t i = 2; i < face.size(); ++i)
    EXPECT_NEAR((face[i - 1] - face[i - 2]) / (face[i] - face[i - 1]), 2, 0.1);
  EXPECT_NEAR(face[1], face[4], 0.1);
}

// Whatever the step, in the thinnest and most conducting disc with the greatest losses: nothing cools below
// the air, nothing warms but by friction, and friction cools nothing.
TEST(Heat, NeverOvershoots) {
  plant::BrakeHeat b = sample_heat(0.5);
  b.half_thickness = 0.001;
  b.disc_conductivity = 400;
  b.disc_specific_heat = 200;
  b.cooling_area = 2;
  b.emissivity = 1;
  b.convection_at_rest = 200;
  b.convection_per_mps = 100;
  b.pad_to_disc = b.pad_to_fluid = b.hub_conductance = 50;
  b.fluid_to_caliper = 500;
  b.hub_capacity = b.caliper_capacity = 50;
  b.fluid_capacity = 1;
  for (double step : {0.0005, 0.001, 0.004, 0.005, 1.0}) {
    HeatRun<> run(b, step, 1200, -40);
    run.speed = 100;
    double greatest = 1200;
    for (int n = 0; n < 4000; ++n) {
      run.step();
      double now = -40;
      for (const double t : run.state.node) {
        EXPECT_GE(t, -40 - 1e-9);
        now = std::fmax(now, t);
      }
      ASSERT_LE(now, greatest + 1e-9);
      greatest = now;
    }
    HeatRun<> heated(b, step, 20, 20);
    for (int n = 0; n < 200; ++n) {
      const auto before = heated.state;
      heated.step(1e5 * step);
      for (int i = 0; i < plant::HeatChain<>::kNodes; ++i)
        EXPECT_GE(heated.at(i), before.node[i] - 1e-9) << step << " s, step " << n << ", node " << i;
    }
  }
}

// After the stop the disc cools while the fluid still warms: what comes late is what boils it.
TEST(Heat, TheFluidIsHottestInTheSoak) {
  using Chain = plant::HeatChain<>;
  HeatRun<> run(sample_heat(8.5), kDefaultStep_s, 300, 20);
  run.run_to(20, [](double) { return 25e3; });
  const double disc = run.face();
  double hottest = 0, at = 0;
  while (run.time < 3600) {
    run.run_to(run.time + 1);
    if (run.at(Chain::kFluid) <= hottest) continue;
    hottest = run.at(Chain::kFluid);
    at = run.time;
    EXPECT_LT(hottest, run.at(Chain::kPad));
    EXPECT_GT(hottest, run.at(Chain::kCaliper));
  }
  std::printf("the fluid is hottest %.0f s after the brake is released\n", at - 20);
  EXPECT_GT(at, 20 + 30);
  EXPECT_LT(at, 3000);
  EXPECT_LT(run.face(), 0.6 * disc);
}

double mean_disc(const PlantRun& run, int wheel) {
  HeatRun<> chain(sample_heat(1), 1, 0, 0);
  chain.params = run.car.brake[wheel / 2].heat;
  chain.state = run.state.heat[wheel];
  return chain.mean();
}

// One stop of 1500 kg from 100 km/h, 70 % at the front, 97 % into discs of 9 kg with 460 J/kgK: 47.456 K
// (derived). The wheels are next to massless and the tyres stiff; slip still takes some of the energy: z / k1
// = 0.3 %.
TEST(Heat, BulkRiseOfOneStop) {
  SampleOptions o;
  o.tick_s = 1e-4;
  o.start_speed = 100 / 3.6;
  replay::ReplayPlan plan = sample_pressure_plan(o, 0, 0);
  auto& car = plan.params.plant;
  car.drag = car.downforce[0] = car.downforce[1] = car.engine_braking = 0;
  plant::BrakeHeat heat = sample_heat(9);
  heat.disc_specific_heat = 460;
  heat.cooling_area = heat.hub_conductance = heat.pad_to_disc = 0;
  for (int a = 0; a < 2; ++a) {
    car.tyre[a].rolling = 0;
    car.tyre[a].inertia = 0.01;
    car.tyre[a].relaxation = 0.5;
    car.tyre[a].k1 = 200;
    car.tyre[a].k2 = car.tyre[a].k3 = 0;
    car.brake[a].pad = curve({{0, 0.4}}, &plan.structure.plant.pad_segments);
    car.brake[a].opening_pressure = 0;
    car.brake[a].heat = plant::heat_params(heat);
  }
  PlantRun run(plan);
  const double z = 0.6, force = z * 1500 * 9.80665 * 0.32;
  run.driver.line_pressure[0] = 0.7 * force / (2 * 0.4 * car.brake[0].torque_per_pascal);
  run.driver.line_pressure[1] = 0.3 * force / (2 * 0.4 * car.brake[1].torque_per_pascal);
  while (run.state.speed > 0.05) run.step();
  const double rise = mean_disc(run, 0) - car.start_disc[0];
  EXPECT_NEAR(rise, 47.456 * (1 - z / 200), 0.001 * 47.456);
  EXPECT_NEAR((mean_disc(run, 2) - car.start_disc[1]) / rise, 0.3 / 0.7, 0.005);
}

// A hot disc at rest, without gradients: 9 kg, 460 J/kgK, 80 W/m^2K on 0.12 m^2.
PlantRun cooling(double from) {
  SampleOptions o;
  o.start_speed = 0;
  replay::ReplayPlan plan = sample_pressure_plan(o, 0, 0);
  auto& car = plan.params.plant;
  car.ambient = 25;
  plant::BrakeHeat heat = sample_heat(9);
  heat.disc_specific_heat = 460;
  heat.disc_conductivity = 1e6;
  heat.cooling_area = 0.12;
  heat.convection_at_rest = 80;
  heat.emissivity = heat.hub_conductance = heat.pad_to_disc = 0;
  for (int a = 0; a < 2; ++a) {
    car.brake[a].heat = plant::heat_params(heat);
    car.start_disc[a] = from;
  }
  return PlantRun(plan);
}

// T_a + (T_0 - T_a) exp(-t / tau), tau = m c / (h A) = 431.25 s (derived).
TEST(Heat, NewtonCooling) {
  const double rows[][2] = {{30, 374.80}, {60, 351.293}, {120, 308.912}, {300, 212.031}};
  for (const auto& row : rows) {
    PlantRun run = cooling(400);
    run.run_for(row[0]);
    EXPECT_NEAR(run.seen.disc[0], row[1], row[0] == 30 ? 0.006 : 0.0015) << row[0];
  }
}

// A rise of 30 K every 45 s: dT (1 - r^n) / (1 - r), r = exp(-45 / tau); 15 snubs are the heating schedule of
// UN R13-H Annex 3, 1.5 (schedule verified in Directive 71/320/EEC; temperatures derived).
TEST(Heat, RepeatedSnubs) {
  PlantRun run = cooling(25);
  for (int n = 1; n <= 15; ++n) {
    for (auto& heat : run.state.heat)
      for (int i = plant::HeatChain<>::kBack; i <= plant::HeatChain<>::kFace; ++i) heat.node[i] += 30;
    if (n == 1 || n == 5 || n == 15) {
      EXPECT_NEAR(mean_disc(run, 0) - 25, n == 1 ? 30.000 : n == 5 ? 123.08 : 239.47, 0.006) << n;
    }
    run.run_for(45);
  }
}

// Moving the heat on every four ticks instead of every tick: the same stop within what no thermometer sees.
TEST(Heat, FourTicksAStepIsFineEnough) {
  double face[2], distance[2];
  for (int i = 0; i < 2; ++i) {
    replay::ReplayPlan plan = sample_pressure_plan({}, 0, 0);
    EXPECT_EQ(plan.structure.plant.heat_ticks, 4);
    if (i == 1) plan.structure.plant.heat_ticks = 1;
    PlantRun run(plan);
    run.driver.line_pressure[0] = 45e5;
    run.driver.line_pressure[1] = 30e5;
    run.run_for(2);
    face[i] = run.seen.disc[0];
    distance[i] = run.seen.distance;
  }
  std::printf("face %.3f and %.3f degC, distance %.5f and %.5f m\n", face[0], face[1], distance[0],
              distance[1]);
  EXPECT_NEAR(face[0], face[1], 0.1);
  EXPECT_NEAR(distance[0], distance[1], 0.005);
}

}  // namespace
}  // namespace brakeward::reference
