// The car without controller against an integrator with error control (Boost.Odeint, Dormand-Prince 5(4), at
// a relative tolerance of 1e-11) on the same equations written a second time. The integrator wins: its own
// error is a millionth of what is compared.
#define BRAKEWARD_ISA isa_integrator_test
#include <algorithm>
#include <boost/numeric/odeint.hpp>
#include <cmath>
#include <cstdio>
#include <vector>

#include "gtest/gtest.h"
#include "reference/independent_car.h"
#include "reference/plant_run.h"

namespace brakeward::reference {
namespace {

namespace odeint = boost::numeric::odeint;

constexpr double kSeconds = 3.0;  // the car is still above the speeds where the equations have kinks
constexpr double kFront = 45e5, kRear = 30e5;  // Pa

struct End {
  double distance, speed, transfer, wheel, slip, disc, pressure, face;
};

using Chain = plant::HeatChain<>;

// Mean of a disc by heat capacity: its heat.
template <class Nodes>
double mean_disc(const plant::HeatParams<double>& p, const Nodes& node) {
  double heat = 0, capacity = 0;
  for (int i = Chain::kBack; i <= Chain::kFace; ++i) {
    heat += p.capacity[i] * node[i];
    capacity += p.capacity[i];
  }
  return heat / capacity;
}

End converged(const plant::PlantParams<double>& car, bool pressure_entry) {
  const IndependentCar equations(car, pressure_entry, kFront, kRear);
  auto y = equations.start();
  const auto stepper =
      odeint::make_controlled<odeint::runge_kutta_dopri5<IndependentCar::State>>(1e-12, 1e-11);
  odeint::integrate_adaptive(stepper, equations, y, 0.0, kSeconds, 1e-5);
  using I = IndependentCar;
  return {y[I::kDistance],
          y[I::kSpeed],
          y[I::kTransfer],
          y[I::kWheel],
          y[I::kSlip],
          mean_disc(car.brake[0].heat, &y[I::kHeat]),
          pressure_entry ? kFront : equations.caliper_pressure(0, y[I::kVolume]),
          y[I::kDisc]};
}

End stepped(const plant::PlantParams<double>& car, bool pressure_entry, double h, int heat_ticks) {
  SampleOptions o;
  plant::PlantStructure st = sample_plan(o).structure.plant;
  st.tick_s = h;
  st.substeps = 1;
  st.pressure_entry = pressure_entry;
  st.heat_ticks = heat_ticks;
  PlantRun run(car, st);
  run.driver.coasting = 1;
  run.driver.line_pressure[0] = run.command[0] = kFront;
  run.driver.line_pressure[1] = run.command[1] = kRear;
  run.run_for(kSeconds);
  const auto& s = run.state;
  return {s.distance,
          s.speed,
          s.transfer,
          s.wheel_speed[0],
          s.slip[0],
          mean_disc(car.brake[0].heat, s.heat[0].node),
          pressure_entry ? kFront : s.hydraulics.caliper[0].pressure,
          s.heat[0].node[Chain::kFace]};
}

constexpr double kHighConductivity = 2000;  // W/(m K); more would be too stiff for an explicit integrator

class Integrator : public testing::TestWithParam<bool> {};

// What may be left at the default step of 1 ms, and at 1/16 ms.
constexpr End kLeftAtDefault = {5e-3, 2e-3, 0.01, 0, 1e-7, 5e-3, 1, 0.05};
constexpr End kLeftAtFinest = {0.5e-3, 0.2e-3, 0.001, 0, 1e-8, 0.5e-3, 1, 0.005};

void expect_below(const End& error, const End& bound) {
  EXPECT_LT(std::fabs(error.distance), bound.distance);
  EXPECT_LT(std::fabs(error.speed), bound.speed);
  EXPECT_LT(std::fabs(error.transfer), bound.transfer);
  EXPECT_LT(std::fabs(error.slip), bound.slip);
  EXPECT_LT(std::fabs(error.disc), bound.disc);
  EXPECT_LT(std::fabs(error.pressure), bound.pressure);
  EXPECT_LT(std::fabs(error.face), bound.face);
}

// The wheels go by the midpoint rule, but lines, load transfer and discs in first order, so that first order
// is what shows: each halving halves the error, the more exactly the smaller the step. The pads' friction
// does not feel the heat here, so that the error of each is its own.
TEST_P(Integrator, TheStepConvergesToItInFirstOrder) {
  const bool pressure_entry = GetParam();
  auto car = sample_plan().params.plant;
  for (int a = 0; a < signal::kAxles; ++a) {
    plant::BrakeHeat heat = sample_heat(a == 0 ? 8.5 : 6.0);
    heat.disc_conductivity = kHighConductivity;
    car.brake[a].heat = plant::heat_params(heat);
  }
  const End want = converged(car, pressure_entry);
  std::printf("after %.0f s: %.6f m, %.6f m/s, slip %.6f, disc %.4f degC, face %.4f degC\n", kSeconds,
              want.distance, want.speed, want.slip, want.disc, want.face);
  std::printf(
      "   step ms  distance mm  speed mm/s     slip 1e-6     disc mK  transfer N  pressure Pa     face mK\n");
  std::vector<End> error;
  for (double h : {1e-3, 0.5e-3, 0.25e-3, 0.125e-3, 0.0625e-3}) {
    const End got = stepped(car, pressure_entry, h, 1);
    error.push_back({got.distance - want.distance, got.speed - want.speed, got.transfer - want.transfer,
                     got.wheel - want.wheel, got.slip - want.slip, got.disc - want.disc,
                     got.pressure - want.pressure, got.face - want.face});
    const End& e = error.back();
    std::printf("%10.4f %12.4f %11.4f %13.4f %11.4f %11.4f %12.4f %11.4f\n", h * 1e3, e.distance * 1e3,
                e.speed * 1e3, e.slip * 1e6, e.disc * 1e3, e.transfer, e.pressure, e.face * 1e3);
  }
  for (size_t i = 1; i < error.size(); ++i) {
    EXPECT_GT(std::fabs(error[i - 1].distance / error[i].distance), 1.5);
    EXPECT_GT(std::fabs(error[i - 1].disc / error[i].disc), 1.4);
  }
  const End &coarse = error[error.size() - 2], &finest = error.back();
  EXPECT_NEAR(coarse.distance / finest.distance, 2, 0.1);
  EXPECT_NEAR(coarse.speed / finest.speed, 2, 0.1);
  EXPECT_NEAR(coarse.disc / finest.disc, 2, 0.1);
  EXPECT_NEAR(coarse.face / finest.face, 2, 0.1);
  expect_below(error.front(), kLeftAtDefault);
  expect_below(finest, kLeftAtFinest);
}

// With discs of iron and the heat moving on every four ticks, as by default: the face is a few hundredths of
// a kelvin late.
TEST_P(Integrator, SoItDoesWithTheFacesOfIronDiscs) {
  const bool pressure_entry = GetParam();
  const auto car = sample_plan().params.plant;
  const End want = converged(car, pressure_entry);
  std::vector<double> face;
  for (double h : {1e-3, 0.5e-3, 0.25e-3}) {
    const End got = stepped(car, pressure_entry, h, 4);
    std::printf("step %.2f ms: %.4f mm, %.4f mm/s, face %.4f mK\n", h * 1e3,
                (got.distance - want.distance) * 1e3, (got.speed - want.speed) * 1e3,
                (got.face - want.face) * 1e3);
    face.push_back(got.face - want.face);
    EXPECT_LT(std::fabs(got.distance - want.distance), kLeftAtDefault.distance);
    EXPECT_LT(std::fabs(got.speed - want.speed), kLeftAtDefault.speed);
    EXPECT_LT(std::fabs(got.disc - want.disc), kLeftAtDefault.disc);
    EXPECT_LT(std::fabs(got.face - want.face), kLeftAtDefault.face);
  }
  EXPECT_NEAR(face[0] / face[1], 2, 0.1);
  EXPECT_NEAR(face[1] / face[2], 2, 0.1);
}

// Five cars and roads, by wire, at a sixteenth of a millisecond: what the car has covered, lost in speed,
// moved in load and built in pressure agrees to 1e-4.
TEST(IntegratorScenarios, AgreeToATenThousandth) {
  struct Case {
    const char* name;
    void (*change)(plant::PlantParams<double>&, plant::PlantStructure&);
  };
  const Case cases[] = {
      {"as it is", [](auto&, auto&) {}},
      {"downhill",
       [](auto& p, auto& st) {
         p.road.grade = curve({{0, -0.08}}, &st.grade_segments);
       }},
      {"damp", [](auto& p, auto&) { p.road.friction[0].y0 = p.road.friction[1].y0 = 0.85; }},
      {"laden and fast", [](auto& p, auto&) { p.mass = 1900, p.start_speed = 60; }},
      {"soft and slow", [](auto& p, auto&) {
         for (auto& b : p.brake) b.stiffness *= 0.4;
         for (auto& act : p.actuator) act.lag = 0.06, act.flow_limit = 12e-6, act.volume_limit = 1e-5;
       }}};
  for (const Case& c : cases) {
    SampleOptions o;
    replay::ReplayPlan plan = sample_plan(o);
    c.change(plan.params.plant, plan.structure.plant);
    const auto& car = plan.params.plant;
    const End want = converged(car, false), got = stepped(car, false, 0.0625e-3, 1);
    const double lost = car.start_speed - want.speed;
    std::printf("%-14s distance %+.1e, speed lost %+.1e, load moved %+.1e, pressure %+.1e\n", c.name,
                got.distance / want.distance - 1, (want.speed - got.speed) / lost,
                got.transfer / want.transfer - 1, got.pressure / want.pressure - 1);
    EXPECT_NEAR(got.distance / want.distance, 1, 1e-4) << c.name;
    EXPECT_NEAR((car.start_speed - got.speed) / lost, 1, 1e-4) << c.name;
    EXPECT_NEAR(got.transfer / want.transfer, 1, 1e-4) << c.name;
    EXPECT_NEAR(got.pressure / want.pressure, 1, 1e-4) << c.name;
    EXPECT_GT(want.speed, 2) << c.name;
    EXPECT_LT(std::fabs(want.slip), 0.3) << c.name;  // the second writing knows no locked wheel
  }
}

INSTANTIATE_TEST_SUITE_P(Entry, Integrator, testing::Values(true, false),
                         [](const auto& p) { return p.param ? "LinePressure" : "FixedCommand"; });

}  // namespace
}  // namespace brakeward::reference
