// Blending on the electric demo car: what motors and friction brakes give together follows the demand that
// friction brakes alone would follow.
#include <algorithm>
#include <cmath>

#include "compile/compile.h"
#include "demo_documents.h"
#include "gtest/gtest.h"
#include "replay/replay.h"
#include "signal/observables.h"

namespace brakeward::reference {
namespace {

constexpr double kSlew = 4000;  // N m/s
constexpr double kFadeFrom = 15 / 3.6, kFadeTo = 6 / 3.6;

struct Stop {
  replay::Trace trace;
  double at(const char* name, long tick) const {
    return trace.rows[static_cast<size_t>(tick) * signal::kObservableCount + signal::column_of(name)];
  }
  long last() const { return trace.ticks - 1; }
};

// A hand stop from 100 km/h of the electric car under the other demo car's calibration; friction torque an
// axle and bar as measured in the stop without blending.
class Blending : public testing::Test {
 protected:
  v1::Vehicle vehicle = tests::demo_document<v1::Vehicle>("yarrow/vehicle/yarrow.textproto");
  v1::Calibration calibration =
      tests::demo_document<v1::Calibration>("sorrel/calibrations/released.textproto");
  v1::Scenario scenario;
  double nm_per_bar[signal::kAxles] = {0, 0};

  void SetUp() override {
    document::parse(R"(name: "made" purpose: "test" scenario_class: SCENARIO_CLASS_STRAIGHT_DRY
                       synthetic { shape: SYNTHETIC_SHAPE_RAMP control: REQUEST_CONTROL_HAND travel_mm: 14
                                   onset_s: 0.5 rise_s: 0.4 }
                       entry_point: ENTRY_POINT_REQUEST end_rule: END_RULE_STANDSTILL initial_speed_kph: 100
                       road { friction_left { points { x: 0 y: 1 } } })",
                    "made.textproto", &scenario);
    document::resolve_defaults(&scenario);
    const Stop plain = stop();
    const long middle = plain.last() / 2;
    nm_per_bar[0] = 2 * plain.at("torque_front_left", middle) / plain.at("pressure_front", middle);
    nm_per_bar[1] = 2 * plain.at("torque_rear_left", middle) / plain.at("pressure_rear", middle);
  }
  void blend(double front_nm, double rear_nm) {
    v1::Blending& b = *calibration.mutable_blending();
    b.mutable_front()->set_torque_limit_nm(front_nm);
    b.mutable_rear()->set_torque_limit_nm(rear_nm);
    b.mutable_front()->set_torque_nm_per_bar(nm_per_bar[0]);
    b.mutable_rear()->set_torque_nm_per_bar(nm_per_bar[1]);
    b.set_fade_from_kph(kFadeFrom * 3.6);
    b.set_fade_to_kph(kFadeTo * 3.6);
    b.set_slew_limit_nm_per_s(kSlew);
  }
  Stop stop() const {
    const auto made = compile::compile({vehicle, calibration, calibration, scenario, nullptr});
    EXPECT_TRUE(made.ok()) << made.status();
    return {replay::trace(made->plan)};
  }
};

// N m of braking that the motor does on demand: without what it does with the accelerator released.
double on_demand(const Stop& stop, const v1::Motor& motor, const char* name, long tick) {
  const double fade = std::min(1.0, stop.at("speed", tick) / (motor.coast_fade_kph() / 3.6));
  return -stop.at(name, tick) - fade * motor.coast_torque_nm();
}

// The friction brakes give up what the motor takes on only after dead time and lag of their actuator: while
// the motor's torque changes by the slew limit S, the sum is off by at most S times these and a few ms of
// line, sensors and controller.
TEST_F(Blending, TheSumFollowsTheDemand) {
  const Stop plain = stop();
  blend(500, 400);
  const Stop blended = stop();
  const struct {
    const char *pressure, *target, *torque;
    const v1::Motor& motor;
    const v1::Actuator& actuator;
    double limit;
  } axles[] = {{"pressure_front", "target_front", "motor_torque_front", vehicle.driveline().front_motor(),
                vehicle.front_actuator(), 500},
               {"pressure_rear", "target_rear", "motor_torque_rear", vehicle.driveline().rear_motor(),
                vehicle.rear_actuator(), 400}};
  for (int a = 0; a < signal::kAxles; ++a) {
    const auto& axle = axles[a];
    double worst = 0, most = 0, slow = 0;
    // From half a second after the ramp, when the motors are still on their way, to walking speed.
    for (long i = 1400; blended.at("speed", i) > 0.5; ++i) {
      const double motor = on_demand(blended, axle.motor, axle.torque, i);
      const double lacking = nm_per_bar[a] * (blended.at(axle.target, i) - blended.at(axle.pressure, i));
      worst = std::max(worst, std::fabs(motor - lacking));
      most = std::max(most, motor);
      if (blended.at("speed", i) < kFadeTo) slow = std::max(slow, std::fabs(motor));
    }
    const double delay_s = 1e-3 * (axle.actuator.dead_time_ms() + axle.actuator.lag_ms()) + 0.010;
    EXPECT_LT(worst, kSlew * delay_s) << axle.torque;
    EXPECT_NEAR(most, axle.limit, 0.01 * axle.limit) << axle.torque;
    EXPECT_LT(slow, 0.1 * axle.limit) << "faded out, and 25 ms of lag: " << axle.torque;
  }
  // The motors' share is braked at the friction that the brakes had in the middle of the stop, and that
  // changes with speed and heat by some percent.
  EXPECT_NEAR(blended.at("distance", blended.last()) / plain.at("distance", plain.last()), 1, 0.01);
}

// On a wet road the limiter acts: motors first. Neither does anything half a second after it began.
TEST_F(Blending, TheMotorIsWithdrawnFirstWhereTheLimiterActs) {
  blend(500, 400);
  for (auto& point : *scenario.mutable_road()->mutable_friction_left()->mutable_points()) point.set_y(0.25);
  const Stop blended = stop();
  long since = -1;
  for (long i = 0; blended.at("speed", i) > 5; ++i) {
    since = blended.at("slip_factor_front", i) < 1 ? (since < 0 ? i : since) : -1;
    if (since < 0 || i < since + 500) continue;
    ASSERT_LT(on_demand(blended, vehicle.driveline().front_motor(), "motor_torque_front", i), 25) << i;
    EXPECT_GT(blended.at("slip_factor_front", i), 0);
  }
  long limited = 0;
  for (long i = 0; i <= blended.last(); ++i) limited += blended.at("slip_factor_front", i) < 1 ? 1 : 0;
  EXPECT_GT(limited, 700) << "the limiter acts for long enough to see it";
}

// A full battery takes nothing: the friction brakes do it all.
TEST_F(Blending, FrictionFillsInForAFullBattery) {
  scenario.set_battery_charge_percent(100);
  const Stop plain = stop();
  blend(500, 400);
  const Stop blended = stop();
  EXPECT_NEAR(blended.at("distance", blended.last()) / plain.at("distance", plain.last()), 1, 1e-12);
}

}  // namespace
}  // namespace brakeward::reference
