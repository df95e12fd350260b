// A driver who follows a speed: what he plans, what he follows, when he is off the accelerator, and how his
// command reaches the control in a replay. Steering, feel and variations beside it.
#include <algorithm>
#include <cmath>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "replay/replay.h"
#include "signal/observables.h"
#include "unit/compile/demo_sources.h"

namespace brakeward::compile {
namespace {

using recording::Signal;
using testing::HasSubstr;

class Follow : public DemoSources {
 protected:
  // From 90 km/h 4 m/s^2 from 1 s on, at once.
  void SetUp() override {
    scenario_from(R"(name: "made" purpose: "test" scenario_class: SCENARIO_CLASS_FOLLOWED
                     stated { deceleration_mps2 { points { x: 1 y: 0 } points { x: 1.001 y: 4 } } }
                     follow { control: REQUEST_CONTROL_HAND travel_mm: 1 travel_mm_per_mps2: 3 }
                     entry_point: ENTRY_POINT_REQUEST end_rule: END_RULE_STANDSTILL initial_speed_kph: 90
                     longest_s: 12 road { friction_left { points { x: 0 y: 1 } } })");
    vehicle.mutable_sensors()->set_hand_shift_mm_per_degree(0.01);
    vehicle.mutable_chassis()->set_steering_ratio(15);
  }
  // The same speed as a log at 100 Hz, with a hand that was on from 1 s.
  void record() {
    scenario.clear_stated();
    scenario.clear_initial_speed_kph();
    scenario.mutable_recorded()->set_recording("r");
    log = {};
    for (int i = 0; i <= 900; ++i) {
      const double t = 0.01 * i;
      log.time_s.push_back(t);
      channel(Signal::kSpeed).push_back(t < 1 ? 25 : std::max(0.0, 25 - 4 * (t - 1)));
      channel(Signal::kHandTravel).push_back(t < 1 ? 0 : 0.013);
    }
  }
  std::vector<double>& channel(Signal s) { return log.signals[static_cast<size_t>(s)]; }
};

double at(const CompiledScenario& c, replay::InputChannel channel, double t) {
  return c.plan.input[channel][static_cast<size_t>(std::llround(t / c.context.tick_s))];
}

TEST_F(Follow, PlansForTheDecelerationAndFollowsTheSpeed) {
  scenario.mutable_follow()->set_reaction_ms(0);
  const auto c = good();
  EXPECT_TRUE(c.plan.structure.driver.follows);
  EXPECT_TRUE(c.context.follows);
  EXPECT_FALSE(c.context.by_pedal);
  EXPECT_EQ(at(c, replay::kHandTravel, 0.9), 0);
  EXPECT_NEAR(at(c, replay::kHandTravel, 1.1), 0.001 + 0.003 * 4, 1e-9);
  EXPECT_NEAR(at(c, replay::kFollowedSpeed, 3), 25 - 4 * (2 - 0.0005), 1e-9);
  EXPECT_DOUBLE_EQ(at(c, replay::kTargetSpeed, 0.5), 25);
  EXPECT_LT(at(c, replay::kTargetSpeed, 0.9), 0) << "off the accelerator before he brakes";
  EXPECT_LT(at(c, replay::kTargetSpeed, 5), 0);
  // It goes on beyond standstill, so that he never lets go of a car that still rolls.
  EXPECT_NEAR(at(c, replay::kFollowedSpeed, 8), 25 - 4 * (7 - 0.0005), 1e-6);
  EXPECT_NEAR(at(c, replay::kHandTravel, 8), 0.013, 1e-9);
  EXPECT_EQ(c.plan.params.last_tick, 12000);
  for (const auto& y : c.plan.input) EXPECT_EQ(y.size(), c.plan.input[0].size());
}

TEST_F(Follow, PlansAheadByHisPreviewAndLateByHisReaction) {
  scenario.mutable_follow()->set_reaction_ms(150);
  scenario.mutable_follow()->set_preview_ms(400);
  const auto c = good();
  EXPECT_EQ(at(c, replay::kHandTravel, 0.74), 0);
  EXPECT_NEAR(at(c, replay::kHandTravel, 0.76), 0.013, 1e-9);
  EXPECT_NEAR(at(c, replay::kFollowedSpeed, 3), 25 - 4 * (2 - 0.0005), 1e-9);
}

TEST_F(Follow, FollowsARecordedSpeedWhereTheHandWasOn) {
  record();
  scenario.mutable_follow()->set_reaction_ms(0);
  const auto c = good();
  EXPECT_EQ(at(c, replay::kHandTravel, 0.95), 0);
  EXPECT_NEAR(at(c, replay::kHandTravel, 3), 0.013, 1e-6);
  EXPECT_NEAR(at(c, replay::kFollowedSpeed, 3), 17, 1e-6);
  EXPECT_NEAR(at(c, replay::kFollowedSpeed, 8), -3, 0.01) << "the log stands from 7.25 s on";
  EXPECT_EQ(at(c, replay::kRecordedDeceleration, 3), measure::kNotRecorded);
  EXPECT_EQ(c.extrapolated_from_s, 1e9);
}

TEST_F(Follow, NeedsASpeedThatComesToRestInAStop) {
  record();
  for (double& v : channel(Signal::kSpeed)) v = std::max(v, 3.0);
  EXPECT_THAT(refusal(), HasSubstr("recorded: the followed speed never comes below 3.6 km/h"));
  channel(Signal::kSpeed).clear();
  EXPECT_THAT(refusal(), HasSubstr("speed channel"));
}

// The longest reaction the schema allows at the shortest tick it allows.
TEST_F(Follow, HoldsTheLongestReactionAtTheShortestTick) {
  vehicle.set_tick_ms(0.5);
  scenario.mutable_follow()->set_reaction_ms(1000);
  EXPECT_LT(good().plan.params.follow.reaction_ticks, driver::kReactionDepth - 1);
}

// 1 - exp(-t / lag) after reaction time, in the whole replay; the tick of the step is the grain.
TEST_F(Follow, MovesTheControlAfterReactionAndLagInAReplay) {
  scenario.mutable_follow()->set_reaction_ms(150);
  scenario.mutable_follow()->set_neuromuscular_lag_ms(80);
  const auto c = good();
  const replay::Trace trace = replay::trace(c.plan);
  for (long tick = 0; tick < 2000; ++tick) {
    const double t = c.context.tick_s * static_cast<double>(tick + 1) - 1.15;
    const double expected = t < 0 ? 0 : 13 * (1 - std::exp(-t / 0.08));
    const double travel =
        trace.rows[static_cast<size_t>(tick) * signal::kObservableCount + signal::column_of("hand_travel")];
    ASSERT_NEAR(travel, expected, 2 * 13 * c.context.tick_s / 0.08) << tick;
  }
}

TEST_F(Follow, CorrectsUntilTheCarHasTheSpeed) {
  const auto error = [&] {
    const auto c = good();
    const replay::ReplayPlan* plan = &c.plan;
    std::vector<measure::Folds<double>> folds;
    EXPECT_TRUE(replay::run({&plan, 1}, {}, folds).ok());
    const auto values = measure::make_measures(folds[0], c.context);
    return values[static_cast<size_t>(*measure::find_measure("driver_speed_error"))].value;
  };
  scenario.mutable_follow()->set_preview_ms(350);
  const double alone = error();
  scenario.mutable_follow()->set_correction_s(0.6);
  const double corrected = error();
  EXPECT_LT(corrected, 0.5 * alone);
  scenario.mutable_follow()->set_travel_limit_mm(6);
  EXPECT_GT(error(), 2) << "a hand that is too weak for the stop";
}

TEST_F(Follow, BrakesByThePedalWhereHeIsToldTo) {
  v1::FollowingDriver* f = scenario.mutable_follow();
  f->set_control(v1::REQUEST_CONTROL_PEDAL);
  f->clear_travel_mm_per_mps2();
  f->set_travel_mm(0);
  f->set_force_n_per_mps2(40);
  f->set_force_limit_n(500);
  const auto c = good();
  EXPECT_TRUE(c.context.by_pedal);
  EXPECT_NEAR(at(c, replay::kPedalForce, 3), 160, 1e-6);
  EXPECT_EQ(c.plan.params.follow.limit, 500);
}

TEST_F(Follow, AVariationComesLateAndIsLarger) {
  scenario.mutable_follow()->set_reaction_ms(0);
  const auto made =
      compile({vehicle, calibration, reference, scenario, &log, {.amplitude = 1.1, .late_s = 0.05}});
  ASSERT_TRUE(made.ok()) << made.status();
  EXPECT_EQ(at(*made, replay::kHandTravel, 1.04), 0);
  EXPECT_NEAR(at(*made, replay::kHandTravel, 1.06), 1.1 * 0.013, 1e-9);
}

using Steering = Follow;

TEST_F(Steering, IsTheAngleOverDistanceThatIsGiven) {
  auto* angle = scenario.mutable_steering()->mutable_angle_degrees()->add_points();
  angle->set_x(0);
  angle->set_y(90);
  const auto c = good();
  EXPECT_TRUE(c.plan.structure.driver.steers);
  EXPECT_NEAR(c.plan.params.steering.angle.y0, std::acos(0.0), 1e-12);
  EXPECT_NEAR(c.plan.params.plant.hand_shift * c.plan.params.steering.angle.y0, 0.9e-3, 1e-12);
}

// Ratio 15, wheelbase 2.95 m, a path of 50 m radius: atan(2.95 / 50) x 15.
TEST_F(Steering, IsWhatThePathAsksForOtherwise) {
  auto* path = scenario.mutable_road()->mutable_path_curvature()->add_points();
  path->set_x(0);
  path->set_y(20);
  scenario.mutable_steering();
  const auto c = good();
  EXPECT_NEAR(c.plan.params.steering.angle.y0, 15 * std::atan(vehicle.chassis().wheelbase_m() / 50), 1e-12);
}

TEST_F(Steering, IsStraightUnlessSaid) {
  EXPECT_FALSE(good().plan.structure.driver.steers);
}

class FeelInput : public DemoSources {};

TEST_F(FeelInput, RisesAndFallsSlowlyAfterCoasting) {
  v1::SyntheticInput* input = scenario.mutable_synthetic();
  input->set_shape(v1::SYNTHETIC_SHAPE_RAMP);
  input->set_onset_s(1);
  input->set_rise_s(2);
  input->set_hold_s(0.5);
  input->set_fall_s(4);
  scenario.mutable_feel()->set_to_mps2(4);
  const auto c = good();
  EXPECT_NEAR(at(c, replay::kHandTravel, 2), 0.010, 1e-12);
  EXPECT_NEAR(at(c, replay::kHandTravel, 3.2), 0.020, 1e-12);
  EXPECT_NEAR(at(c, replay::kHandTravel, 5.5), 0.010, 1e-9);
  EXPECT_EQ(at(c, replay::kHandTravel, 8), 0);
  EXPECT_GT(at(c, replay::kTargetSpeed, 0.45), 0);
  EXPECT_LT(at(c, replay::kTargetSpeed, 0.55), 0);
  EXPECT_TRUE(c.plan.structure.feel);
  EXPECT_EQ(c.plan.params.feel.coasting_tick, 1000);
  EXPECT_DOUBLE_EQ(c.plan.params.feel.step, 0.5);
}

using Variation = FeelInput;

TEST_F(Variation, ScalesGripAndPadsAndShiftsZeros) {
  const auto plain = good();
  const scenario::Variation v{1, 0, 0.8, 1.2, 0.0005, 4};
  const auto made = compile({vehicle, calibration, reference, scenario, &log, v});
  ASSERT_TRUE(made.ok()) << made.status();
  const auto &a = plain.plan.params.plant, &b = made->plan.params.plant;
  EXPECT_DOUBLE_EQ(b.road.friction[0].y0, 0.8 * a.road.friction[0].y0);
  for (int axle = 0; axle < 2; ++axle)
    EXPECT_DOUBLE_EQ(b.brake[axle].torque_per_pascal, 1.2 * a.brake[axle].torque_per_pascal);
  for (int t = 0; t < 2; ++t)
    EXPECT_NEAR((b.sensor.hand_zero[t] - a.sensor.hand_zero[t]) / a.sensor.hand_slope[t], 0.0005, 1e-12);
  EXPECT_NEAR((b.sensor.pedal_zero - a.sensor.pedal_zero) / a.sensor.pedal_slope, 4, 1e-9);
}

TEST_F(Variation, MovesTheRequestInTime) {
  const auto made = compile({vehicle, calibration, reference, scenario, &log, {.late_s = 0.02}});
  ASSERT_TRUE(made.ok()) << made.status();
  EXPECT_NEAR(made->context.onset_s, 0.52, 1e-9);
  EXPECT_GT(at(*made, replay::kTargetSpeed, 0.515), 0);
}

}  // namespace
}  // namespace brakeward::compile
