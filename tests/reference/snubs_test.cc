// The demo van through the heating of FMVSS 135: 15 snubs from 120 km/h to half of it at 3 m/s^2, 45 s apart,
// then a hot stop and, after four cooling stops, a recovery stop (S7.13 to S7.16; R13-H Annex 3, 1.5; both
// from memory). d_c is the closed form of the cold stop, d_c = 0.0386 V^2 / (S - 0.10 V).
#define BRAKEWARD_ISA isa_snubs_test
#include <algorithm>
#include <cstdio>

#include "compile/compile.h"
#include "demo_documents.h"
#include "gtest/gtest.h"
#include "reference/plant_run.h"

namespace brakeward::reference {
namespace {

constexpr double kKph = 1 / 3.6, kBar = 1e5, kFrontShare = 0.6;

class Van {
 public:
  Van() : run_(compiled()) {}

  // Brakes with this mean pressure; metres travelled from the command on.
  double brake(double mean_pressure, double to_kph) {
    const double from = run_.state.distance;
    run_.driver.traction = 0;
    run_.command[0] = 2 * kFrontShare * mean_pressure;
    run_.command[1] = 2 * (1 - kFrontShare) * mean_pressure;
    while (run_.state.speed > std::max(to_kph * kKph, 0.05)) run_.step();
    run_.command[0] = run_.command[1] = 0;
    return run_.state.distance - from;
  }
  void drive(double kph, double until_time) {
    while (run_.time < until_time) {
      run_.driver.traction = std::clamp(10 * run_.car.mass * (kph * kKph - run_.state.speed), 0.0, 8000.0);
      run_.step();
    }
  }
  // The mean pressure at which the van slows by so much, at this speed and as warm as it is.
  double pressure_for(double deceleration, double kph) const {
    double low = 0, high = 80 * kBar;
    for (int i = 0; i < 20; ++i) {
      const double middle = 0.5 * (low + high);
      Van trial = *this;
      trial.drive(kph, trial.run_.time + 20);
      trial.run_.driver.traction = 0;
      trial.run_.command[0] = 2 * kFrontShare * middle;
      trial.run_.command[1] = 2 * (1 - kFrontShare) * middle;
      trial.run_.run_for(0.8);
      (trial.run_.seen.deceleration < deceleration ? low : high) = middle;
    }
    return 0.5 * (low + high);
  }
  double stop(double mean_pressure) {
    drive(100, run_.time + 40);
    return brake(mean_pressure, 0);
  }
  double time() const { return run_.time; }
  double front_disc() const { return run_.seen.disc[0]; }

 private:
  static PlantRun compiled() {
    v1::Scenario scenario;
    document::parse(
        "name: \"made\" purpose: \"test\" scenario_class: SCENARIO_CLASS_SNUB_SERIES synthetic { shape: "
        "SYNTHETIC_SHAPE_STEP control: REQUEST_CONTROL_PEDAL force_n: 300 } entry_point: "
        "ENTRY_POINT_REQUEST end_rule: END_RULE_STANDSTILL initial_speed_kph: 100 front_disc_celsius: 65 "
        "rear_disc_celsius: 65 road { friction_left { points { x: 0 y: 1.2 } } }",
        "made", &scenario);
    document::resolve_defaults(&scenario);
    const auto vehicle = tests::demo_document<v1::Vehicle>("bracken/vehicle/bracken.textproto");
    const auto calibration = tests::demo_document<v1::Calibration>("bracken/calibrations/released.textproto");
    const auto made = compile::compile({vehicle, calibration, calibration, scenario});
    EXPECT_TRUE(made.ok()) << made.status();
    return PlantRun(made->plan);
  }

  PlantRun run_;
};

TEST(HeatingSnubs, HotAndRecoveryStopsKeepToTheColdOne) {
  Van van;
  const double pressure = van.pressure_for(6.5, 100);
  const double cold = Van(van).stop(pressure);
  const double d_c = 0.0386 * 100 * 100 / (cold - 0.10 * 100);
  const double snub = van.pressure_for(3, 120);
  van.drive(120, 60);
  for (int i = 0; i < 15; ++i) {
    const double start = van.time();
    van.brake(snub, 60);
    van.drive(120, start + 45);
  }
  const double heated = van.front_disc();
  const double hot = van.stop(pressure);
  for (int i = 0; i < 4; ++i) {
    van.drive(50, van.time() + 1500 / (50 * kKph));
    van.brake(van.pressure_for(3, 50), 0);
  }
  van.drive(100, van.time() + 1500 / (100 * kKph));
  const double recovered = van.brake(pressure, 0);
  const double hot_limit = 10 + 386 / (0.60 * d_c);
  const double least = 10 + 386 / (1.50 * d_c), most = 10 + 386 / (0.70 * d_c);
  std::printf(
      "cold %.2f m (d_c %.2f m/s^2); heated to %.0f degC; hot %.2f of %.2f m; recovered %.2f, %.2f to "
      "%.2f m\n",
      cold, d_c, heated, hot, hot_limit, recovered, least, most);
  EXPECT_GT(heated, 200);
  EXPECT_LE(hot, hot_limit);
  EXPECT_GE(recovered, least);
  EXPECT_LE(recovered, most);
}

}  // namespace
}  // namespace brakeward::reference
