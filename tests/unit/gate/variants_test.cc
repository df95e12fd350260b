// Replays beside a scenario's own, through a check: the spread against what the noise that was put in makes
// of it, left against right, corners by name, and every replay by its name alone.
#include "gate/variants.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "gate/judge.h"
#include "gate/run_message.h"
#include "measure/repeatability.h"
#include "signal/observables.h"
#include "unit/gate/released_options.h"

namespace brakeward::gate {
namespace {

using end_to_end::LibraryCopy;
using Change = void (*)(v1::Scenario&);

constexpr const char* kScenario = "scenarios/step_hand.textproto";

// A stop from 80 km/h by a ramp of the hand control, well below the slip limiter.
void stop(v1::Scenario& s) {
  s.set_end_rule(v1::END_RULE_STANDSTILL);
  s.set_initial_speed_kph(80);
  s.mutable_synthetic()->set_shape(v1::SYNTHETIC_SHAPE_RAMP);
  s.mutable_synthetic()->set_travel_mm(14);
  s.mutable_synthetic()->set_rise_s(0.3);
  s.mutable_synthetic()->set_hold_s(100);
}

class Variants : public testing::Test {
 protected:
  void SetUp() override { copy_.keep({"step_hand"}); }

  void change(const std::function<void(v1::Scenario&)>& change) {
    copy_.change<v1::Scenario>(copy_.file(kScenario), change);
  }
  absl::StatusOr<Session> session() { return open_session(options_for(copy_)); }
  measure::Folds<double> replayed(const compile::CompiledScenario& compiled) {
    std::vector<measure::Folds<double>> folds;
    const replay::ReplayPlan* plan = &compiled.plan;
    EXPECT_TRUE(replay::run({&plan, 1}, {}, folds).ok());
    return folds.at(0);
  }
  double distance(const Session& s, const scenario::Variation& variation) {
    const auto compiled = compile_scenario(s, s.library->scenarios[0], s.candidate.message, variation);
    EXPECT_TRUE(compiled.ok()) << compiled.status();
    return replayed(*compiled).last_distance;
  }
  const verdict::MeasureResult& measure(const verdict::Run& run, const std::string& name) {
    static const verdict::MeasureResult none;
    for (const auto& m : run.scenarios.at(0).measures)
      if (m.measure == name) return m;
    ADD_FAILURE() << name;
    return none;
  }

  LibraryCopy copy_;
};

// Noise small enough for the car to be linear in it: variance propagates as the sum of the squares of
// sensitivity times deviation, and the speed held until the request makes the distance's sensitivity to the
// time that speed itself. The reference is the sensitivity, by central differences, and the noise asked for;
// 300 draws estimate a deviation to 1 / sqrt(2 x 299) = 4.1 %, of which three.
TEST_F(Variants, SpreadOfRepetitionsIsThePropagatedNoise) {
  constexpr double kAmplitude = 0.004, kTime = 0.005;
  change([](v1::Scenario& s) {
    stop(s);
    v1::Repeatability* r = s.mutable_repeatability();
    r->set_count(300);
    r->set_amplitude_percent(100 * kAmplitude);
    r->set_time_ms(1e3 * kTime);
  });
  const auto s = session();
  ASSERT_TRUE(s.ok()) << s.status();
  const auto run = check(*s, CheckOptions());
  ASSERT_TRUE(run.ok()) << run.status();
  const double more = distance(*s, {.amplitude = 1 + kAmplitude}),
               less = distance(*s, {.amplitude = 1 - kAmplitude});
  const double late = distance(*s, {.late_s = kTime}), early = distance(*s, {.late_s = -kTime});
  EXPECT_NEAR((late - early) / (2 * kTime), 80 / 3.6, 0.01 * 80 / 3.6) << "the speed held";
  const double propagated = std::hypot((more - less) / 2, (late - early) / 2);
  const auto spread = measure(*run, "repeat_distance_spread").value;
  ASSERT_TRUE(spread.has_value());
  EXPECT_NEAR(*spread, propagated, 3 * propagated / std::sqrt(2 * 299.0));

  // And against the very draws: what is left is the car's curvature and the tick.
  const auto variants = scenario::variants_of(s->library->scenarios[0].message);
  std::vector<double> linear;
  for (const auto& v : variants)
    linear.push_back((v.variation.amplitude - 1) * (more - less) / (2 * kAmplitude) +
                     v.variation.late_s * (late - early) / (2 * kTime));
  EXPECT_NEAR(*spread, measure::standard_deviation(linear), 0.02 * propagated);
}

TEST_F(Variants, AStraightCarBrakesAlikeMirrored) {
  change([](v1::Scenario& s) {
    stop(s);
    auto* friction = s.mutable_road()->mutable_friction_right()->add_points();
    friction->set_x(0);
    friction->set_y(0.9);
    s.mutable_repeatability()->set_mirrored(true);
  });
  const auto s = session();
  ASSERT_TRUE(s.ok()) << s.status();
  const auto run = check(*s, CheckOptions());
  ASSERT_TRUE(run.ok()) << run.status();
  EXPECT_NEAR(*measure(*run, "mirrored_distance_difference").value, 0, 1e-9);
  EXPECT_NEAR(*measure(*run, "mirrored_delay_difference").value, 0, 1e-9);
}

// The shift adds travel on one side and takes it away on the other; with the opposite compensation nothing is
// left, whichever way the wheel is turned.
TEST_F(Variants, SteeringShiftsTheHandControlUntilItIsCompensated) {
  change([](v1::Scenario& s) {
    stop(s);
    auto* angle = s.mutable_steering()->mutable_angle_degrees()->add_points();
    angle->set_x(0);
    angle->set_y(90);
    s.mutable_repeatability()->set_mirrored(true);
  });
  copy_.change<v1::Vehicle>(copy_.vehicle(),
                            [](v1::Vehicle& v) { v.mutable_sensors()->set_hand_shift_mm_per_degree(0.01); });
  const auto shifted = session();
  ASSERT_TRUE(shifted.ok()) << shifted.status();
  const auto run = check(*shifted, CheckOptions());
  ASSERT_TRUE(run.ok()) << run.status();
  EXPECT_GT(*measure(*run, "mirrored_distance_difference").value, 1);
  EXPECT_GT(*measure(*run, "mirrored_deceleration_difference").value, 0.2);

  copy_.change<v1::Calibration>(copy_.released(), [](v1::Calibration& c) {
    c.mutable_hand_control()->set_steering_compensation_mm_per_degree(0.01);
  });
  const auto compensated = session();
  ASSERT_TRUE(compensated.ok()) << compensated.status();
  const auto again = check(*compensated, CheckOptions());
  ASSERT_TRUE(again.ok()) << again.status();
  // A step of the analogue inputs is 12 um of travel.
  EXPECT_LT(*measure(*again, "mirrored_distance_difference").value, 0.05);
}

TEST_F(Variants, EveryReplayHasTheValuesItHasAlone) {
  change([](v1::Scenario& s) {
    stop(s);
    v1::Repeatability* r = s.mutable_repeatability();
    r->set_count(5);
    r->set_amplitude_percent(3);
    r->set_time_ms(20);
    r->add_balance_steps("-2");
    r->add_balance_steps("+2");
    r->mutable_corners()->set_grip_low_percent(70);
    r->mutable_corners()->set_pad_friction_low_percent(80);
    r->mutable_corners()->set_load_kg(200);
    r->mutable_corners()->set_fluid_low_celsius(-10);
    r->mutable_corners()->set_supply_low_volts(10);
    r->mutable_corners()->set_hand_zero_mm(0.4);
  });
  const auto s = session();
  ASSERT_TRUE(s.ok()) << s.status();
  for (const int threads : {1, 2}) {
    CheckOptions how;
    how.threads = threads;
    size_t replays = 0;
    how.progress = [&](size_t, size_t all) { replays = all; };
    const auto run = check(*s, how);
    ASSERT_TRUE(run.ok()) << run.status();
    EXPECT_EQ(replays, 1u + 5 + 2 + 64);
    EXPECT_EQ(static_cast<size_t>(count_replays(*s)), replays);
    std::vector<double> corners;
    for (const auto& v : scenario::variants_of(s->library->scenarios[0].message)) {
      const auto alone = replay_scenario(*s, v.name);
      ASSERT_TRUE(alone.ok()) << alone.status();
      const auto& row = alone->trace;
      const size_t last = static_cast<size_t>(row.ticks - 1) * signal::kObservableCount;
      if (v.kind == scenario::VariantKind::kCorner)
        corners.push_back(row.rows[last + signal::column_of("distance")]);
    }
    ASSERT_EQ(corners.size(), 64u);
    EXPECT_EQ(*measure(*run, "corner_distance").value, *std::max_element(corners.begin(), corners.end()));
    EXPECT_EQ(*measure(*run, "corner_distance_range").value,
              *std::max_element(corners.begin(), corners.end()) -
                  *std::min_element(corners.begin(), corners.end()));
    EXPECT_GT(*measure(*run, "step_delay_range").value, 0);
  }
  EXPECT_FALSE(replay_scenario(*s, "step_hand/corner@no_such").ok());
}

// A worse corner fails by its own measure, which names the corner.
TEST_F(Variants, ACornerThatGotWorseIsNamed) {
  change([](v1::Scenario& s) {
    stop(s);
    s.mutable_repeatability()->mutable_corners()->set_grip_low_percent(60);
    s.mutable_repeatability()->mutable_corners()->set_load_kg(200);
    auto* limit = s.add_limits();
    limit->set_measure("corner_distance");
    limit->set_maximum(5);
    limit->set_source("a limit for the test");
  });
  const auto s = session();
  ASSERT_TRUE(s.ok()) << s.status();
  const auto run = check(*s, CheckOptions());
  ASSERT_TRUE(run.ok()) << run.status();
  const auto& m = measure(*run, "corner_distance");
  EXPECT_EQ(m.verdict, verdict::Verdict::kFail);
  EXPECT_NE(m.reason.find("; see step_hand/corner@grip_low,load"), std::string::npos) << m.reason;
}

TEST_F(Variants, ABaselineKeepsTheSpreadOfEveryMeasure) {
  change([](v1::Scenario& s) {
    stop(s);
    s.mutable_repeatability()->set_count(6);
    s.mutable_repeatability()->set_amplitude_percent(2);
  });
  copy_.make_baseline();
  const auto s = session();
  ASSERT_TRUE(s.ok()) << s.status();
  const auto* b = baseline_scenario(*s->library, "step_hand");
  ASSERT_NE(b, nullptr);
  double distance_spread = 0;
  for (const auto& v : b->values())
    if (v.measure() == "stopping_distance") distance_spread = v.spread();
  EXPECT_GT(distance_spread, 0.01);
  EXPECT_LT(distance_spread, 5);
}

// The measures of repeatability are made of the repetitions that the run tells.
TEST_F(Variants, EveryReplayIsInTheRunWithWhatIsComparedOfIt) {
  change([](v1::Scenario& s) {
    stop(s);
    auto* friction = s.mutable_road()->mutable_friction_right()->add_points();
    friction->set_x(0);
    friction->set_y(0.9);
    v1::Repeatability* r = s.mutable_repeatability();
    r->set_count(7);
    r->set_amplitude_percent(2);
    r->add_balance_steps("-2");
    r->add_balance_steps("+2");
    r->set_mirrored(true);
    r->mutable_corners()->set_grip_low_percent(70);
    r->mutable_corners()->set_load_kg(200);
  });
  copy_.make_baseline();
  const auto s = session();
  ASSERT_TRUE(s.ok()) << s.status();
  const auto run = check(*s, CheckOptions());
  ASSERT_TRUE(run.ok()) << run.status();
  EXPECT_EQ(run->scenarios[0].tier, verdict::Tier::kGate);
  const auto of = [&](const std::string& kind, auto field) {
    std::vector<double> out;
    for (const verdict::Repetition& r : run->scenarios[0].repetitions)
      if (r.kind == kind) out.push_back(field(r));
    return out;
  };
  const auto range = [](const std::vector<double>& v) {
    return *std::max_element(v.begin(), v.end()) - *std::min_element(v.begin(), v.end());
  };
  const auto distance = [](const verdict::Repetition& r) { return r.distance_m; };
  const auto delay = [](const verdict::Repetition& r) { return r.delay_ms.value(); };
  const auto deceleration = [](const verdict::Repetition& r) { return r.deceleration_mps2.value(); };
  ASSERT_EQ(run->scenarios[0].repetitions.size(), 1u + 7 + 2 + 1 + 4);
  EXPECT_EQ(run->scenarios[0].repetitions[0].replay, "step_hand");
  EXPECT_EQ(*measure(*run, "repeat_distance_spread").value,
            measure::standard_deviation(of("repeat", distance)));
  EXPECT_EQ(*measure(*run, "repeat_delay_spread").value, measure::standard_deviation(of("repeat", delay)));
  EXPECT_EQ(*measure(*run, "step_delay_range").value, range(of("step", delay)));
  EXPECT_EQ(*measure(*run, "corner_deceleration_range").value, range(of("corner", deceleration)));
  EXPECT_EQ(*measure(*run, "mirrored_distance_difference").value,
            std::fabs(of("mirrored", distance)[0] - of("itself", distance)[0]));
  EXPECT_EQ(of("itself", delay)[0], *measure(*run, "delay_90_percent").value);
  const auto back = from_message(to_message(*run));
  ASSERT_TRUE(back.ok()) << back.status();
  EXPECT_EQ(back->scenarios[0].repetitions[14].replay, run->scenarios[0].repetitions[14].replay);
  EXPECT_EQ(back->scenarios[0].tier, verdict::Tier::kGate);
}

}  // namespace
}  // namespace brakeward::gate
