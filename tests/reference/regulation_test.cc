// Stops of the demo van in the way of UN R13-H and FMVSS 135, with a fixed pedal force: pad friction is
// lowered until the stopping distance just meets the formula's limit, and must cross it where the closed form
// does. `verified`: read in a public text; `memory`: not. The van is made simple for it: constant pad
// friction, no drag, no rolling resistance, engine disconnected, no slip limiter.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

#include "compile/compile.h"
#include "demo_documents.h"
#include "gtest/gtest.h"
#include "replay/replay.h"
#include "signal/observables.h"

namespace brakeward::reference {
namespace {

constexpr double kKph = 1 / 3.6, kBar = 1e5, kOnset = 0.5;

struct Case {
  const char* name;
  double kph, coefficient;  // limit: S = 0.1 V + coefficient V^2 in m and km/h
  double force_n;
  const char* faults;
};

const Case kCases[] = {
    {"cold", 100, 0.0060, 300, ""},             // R13-H Annex 3, 2.1 (verified); FMVSS 135 S7.5 (memory)
    {"high speed", 160, 0.0067, 300, ""},       // R13-H Annex 3, 2.1; FMVSS 135 S7.6 (memory)
    {"antilock failed", 100, 0.0075, 300, ""},  // FMVSS 135 S7.8 (memory)
    {"hot", 100, 0.0080, 300, ""},              // R13-H Annex 3, 1.5: 75 % of the cold figure (memory)
    // R13-H 5.2 and FMVSS 135 S7.10, S7.11 (memory)
    {"front circuit failed", 100, 0.0158, 480,
     "faults { kind: FAULT_KIND_ACTUATOR_DEAD circuit: CIRCUIT_FRONT start_s: 0 end_s: 100 }"},
    {"rear circuit failed", 100, 0.0158, 300,
     "faults { kind: FAULT_KIND_ACTUATOR_DEAD circuit: CIRCUIT_REAR start_s: 0 end_s: 100 }"},
    {"actuators lost", 100, 0.0158, 480,
     "faults { kind: FAULT_KIND_SUPPLY_DIP supply_volts: 0 start_s: 0 end_s: 100 }"}};

class Regulation : public testing::TestWithParam<Case> {
 protected:
  replay::ReplayPlan plan;

  void SetUp() override {
    const Case& c = GetParam();
    v1::Scenario scenario;
    document::parse(
        "name: \"made\" purpose: \"test\" scenario_class: SCENARIO_CLASS_STRAIGHT_DRY synthetic { shape: "
        "SYNTHETIC_SHAPE_RAMP control: REQUEST_CONTROL_PEDAL onset_s: 0.5 rise_s: 0.15 force_n: " +
            std::to_string(c.force_n) +
            " } entry_point: ENTRY_POINT_REQUEST end_rule: END_RULE_STANDSTILL initial_speed_kph: " +
            std::to_string(c.kph) + " road { friction_left { points { x: 0 y: 1.4 } } } " + c.faults,
        "made", &scenario);
    document::resolve_defaults(&scenario);
    const auto vehicle = tests::demo_document<v1::Vehicle>("bracken/vehicle/bracken.textproto");
    const auto calibration = tests::demo_document<v1::Calibration>("bracken/calibrations/released.textproto");
    const auto made = compile::compile({vehicle, calibration, calibration, scenario});
    ASSERT_TRUE(made.ok()) << made.status();
    plan = made->plan;
    plant::PlantParams<double>& car = plan.params.plant;
    car.drag = car.downforce[0] = car.downforce[1] = car.engine_braking = 0;
    car.driven_share[0] = car.driven_share[1] = 0;
    for (int a = 0; a < signal::kAxles; ++a) {
      car.tyre[a].rolling = car.brake[a].drag = 0;
      plan.params.control.slip.release_slip[a] = 2;
    }
    plan.params.control.balance.speed_trim = {};
    std::fill(plan.input[replay::kTargetSpeed].begin(), plan.input[replay::kTargetSpeed].end(), -1.0);
    set_friction(0.3);
  }

  void set_friction(double friction) {
    for (auto& b : plan.params.plant.brake) {
      b.pad = {};
      b.pad.y0 = friction;
    }
  }

  double distance_with(double friction) {
    set_friction(friction);
    std::vector<measure::Folds<double>> folds;
    const std::vector<const replay::ReplayPlan*> plans = {&plan};
    EXPECT_TRUE(replay::run(plans, {}, folds).ok());
    return folds[0].last_distance - folds[0].onset_distance;
  }

  // Brake torque over pad friction, summed over the wheels and brought to the road, N; by tick.
  std::vector<double> pull_per_friction() {
    const replay::Trace trace = replay::trace(plan);
    constexpr size_t kAt[] = {signal::column_of("pressure_front"), signal::column_of("pressure_rear")};
    std::vector<double> out;
    for (long tick = 0; tick < trace.ticks; ++tick) {
      double sum = 0;
      for (int a = 0; a < signal::kAxles; ++a) {
        const auto& b = plan.params.plant.brake[a];
        const double p = trace.rows[static_cast<size_t>(tick * signal::kObservableCount) + kAt[a]] * kBar;
        sum += 2 * b.torque_per_pascal * std::max(0.0, p - b.opening_pressure) /
               plan.params.plant.tyre[a].radius;
      }
      out.push_back(sum);
    }
    return out;
  }
};

// With g(t) the share of its final value that the brake force has reached t after the onset, t_1 the integral
// of 1 - g and c that of what is left of its double integral over a step delayed by t_1:
//   S = v0 t_1 + v0^2 / (2 A) - A c.
// The wheels turn with the car: A = mu x pull / (m + sum J / r^2) (derived).
TEST_P(Regulation, FrictionThatJustMeetsTheLimitIsThatOfTheClosedForm) {
  const Case& c = GetParam();
  const plant::PlantParams<double>& car = plan.params.plant;
  const std::vector<double> pull = pull_per_friction();
  const double final_pull = pull.back(), h = plan.structure.plant.tick_s;
  double late = 0, area = 0, travelled = 0, time = 0;
  for (size_t i = static_cast<size_t>(kOnset / h); i < pull.size(); ++i) {
    const double share = pull[i] / final_pull;
    travelled += h * (area + 0.5 * h * share);
    area += h * share;
    late += h * (1 - share);
    time += h;
  }
  const double beyond = travelled - 0.5 * (time - late) * (time - late);
  double turning = car.mass;
  for (int a = 0; a < signal::kAxles; ++a)
    turning += 2 * car.tyre[a].inertia / (car.tyre[a].radius * car.tyre[a].radius);
  const double v0 = c.kph * kKph, limit = 0.1 * c.kph + c.coefficient * c.kph * c.kph;
  const auto closed = [&](double friction) {
    const double a = friction * final_pull / turning;
    return v0 * late + v0 * v0 / (2 * a) - a * beyond;
  };
  const auto crossing = [&](const auto& distance) {
    double low = 0.02, high = 1.5;
    for (int i = 0; i < 40; ++i) {
      const double middle = 0.5 * (low + high);
      (distance(middle) > limit ? low : high) = middle;
    }
    return 0.5 * (low + high);
  };
  const double want = crossing(closed), got = crossing([&](double f) { return distance_with(f); });
  std::printf("%-22s %6.1f m at %.0f N: friction %.4f, closed form %.4f, %+.2f %%\n", c.name, limit,
              c.force_n, got, want, 100 * (got / want - 1));
  EXPECT_NEAR(got / want, 1, 0.01);
  EXPECT_GT(got, 0.05);
  EXPECT_LT(got, 0.6);
}

INSTANTIATE_TEST_SUITE_P(Van, Regulation, testing::ValuesIn(kCases), [](const auto& p) {
  std::string name = p.param.name;
  std::erase(name, ' ');
  return name;
});

}  // namespace
}  // namespace brakeward::reference
