// What must hold whatever the numbers: the mirrored car does the mirrored thing, more grip never lengthens a
// stop, and the clock of a recording does not matter.
#include <algorithm>
#include <cstring>
#include <string>
#include <vector>

#include "compile/compile.h"
#include "demo_documents.h"
#include "gtest/gtest.h"
#include "measure/measures.h"
#include "recording/recording.h"
#include "reference/sample_plan.h"
#include "replay/replay.h"
#include "replay/self_check.h"
#include "signal/observables.h"
#include "unit/replay/random_plans.h"

namespace brakeward {
namespace {

std::vector<measure::Folds<double>> run_all(const std::vector<replay::ReplayPlan>& plans) {
  std::vector<measure::Folds<double>> folds;
  EXPECT_TRUE(replay::run(replay::pointers_to(plans), {}, folds).ok());
  return folds;
}

void negate(math::Curve<double>& curve) {
  curve.y0 = -curve.y0;
  for (double& slope : curve.slope) slope = -slope;
}

// The circuit of the left front wheel becomes that of the right one.
void exchange_circuits(replay::ReplayPlan& plan) {
  std::swap(plan.params.fault.leak[0], plan.params.fault.leak[1]);
  std::swap(plan.params.fault.pressure[0], plan.params.fault.pressure[1]);
  std::swap(plan.params.plant.pedal_path.pressure_per_force[0],
            plan.params.plant.pedal_path.pressure_per_force[1]);
  if (plan.structure.plant.shared_actuator) return;
  std::swap(plan.params.fault.dead[0], plan.params.fault.dead[1]);
  std::swap(plan.params.fault.response[0], plan.params.fault.response[1]);
  std::swap(plan.params.fault.flow[0], plan.params.fault.flow[1]);
  std::swap(plan.params.plant.actuator[0], plan.params.plant.actuator[1]);
}

replay::ReplayPlan mirror_of(replay::ReplayPlan plan) {
  auto& road = plan.params.plant.road;
  std::swap(road.friction[0], road.friction[1]);
  std::swap(road.bump[0], road.bump[1]);
  negate(road.path_curvature);
  negate(road.banking);
  for (const int left : {signal::kFrontLeft, signal::kRearLeft}) {
    std::swap(plan.params.plant.caliper_air[left], plan.params.plant.caliper_air[left + 1]);
    std::swap(plan.params.plant.knock_back[left], plan.params.plant.knock_back[left + 1]);
    std::swap(plan.params.fault.speed_lost[left], plan.params.fault.speed_lost[left + 1]);
    std::swap(plan.params.fault.knock_back_tick[left], plan.params.fault.knock_back_tick[left + 1]);
  }
  if (plan.structure.plant.diagonal) exchange_circuits(plan);
  return plan;
}

// Left and right of road and car exchanged: the folds know axles only, so every bit stays.
TEST(Mirror, ExchangingLeftAndRightChangesNoBit) {
  std::vector<replay::ReplayPlan> plans, mirrored;
  for (unsigned seed = 0; seed < 60; ++seed) {
    plans.push_back(replay::random_plan(1000 + seed));
    mirrored.push_back(mirror_of(plans.back()));
  }
  const auto a = run_all(plans), b = run_all(mirrored);
  for (size_t i = 0; i < plans.size(); ++i) EXPECT_TRUE(replay::same_bits(a[i], b[i])) << i;
}

TEST(Mirror, TheTraceExchangesItsSides) {
  replay::ReplayPlan plan = reference::sample_plan(), mirrored = reference::sample_plan();
  reference::set_friction(0.4, 0.9, plan);
  reference::set_friction(0.9, 0.4, mirrored);
  const replay::Trace a = replay::trace(plan), b = replay::trace(mirrored);
  ASSERT_EQ(a.ticks, b.ticks);
  constexpr int kFirstSlip = 13;
  ASSERT_STREQ(signal::kObservables[kFirstSlip].name, "brake_slip_front_left");
  for (long i = 0; i < a.ticks; ++i) {
    const double* row = &a.rows[static_cast<size_t>(i * signal::kObservableCount)];
    const double* other = &b.rows[static_cast<size_t>(i * signal::kObservableCount)];
    ASSERT_EQ(row[10], other[10]) << "speed at tick " << i;
    for (int w = 0; w < 4; ++w) ASSERT_EQ(row[kFirstSlip + w], other[kFirstSlip + (w ^ 1)]) << i;
  }
}

std::vector<replay::ReplayPlan> full_plans() {
  std::vector<replay::ReplayPlan> plans;
  for (replay::ReplayPlan& plan : replay::fixed_plans())
    if (plan.structure.plant.motors) plans.push_back(std::move(plan));
  return plans;
}

TEST(Mirror, OfCarAndRoadWithAllTheirPartsChangesNoBit) {
  const std::vector<replay::ReplayPlan> plans = full_plans();
  std::vector<replay::ReplayPlan> mirrored;
  for (const auto& plan : plans) mirrored.push_back(mirror_of(plan));
  ASSERT_GE(plans.size(), 8u);
  const auto a = run_all(plans), b = run_all(mirrored);
  for (size_t i = 0; i < plans.size(); ++i) EXPECT_TRUE(replay::same_bits(a[i], b[i])) << i;
}

size_t column(const std::string& name) {
  const auto* at = std::find_if(std::begin(signal::kObservables), std::end(signal::kObservables),
                                [&](const signal::Observable& o) { return name == o.name; });
  EXPECT_NE(at, std::end(signal::kObservables)) << name;
  return static_cast<size_t>(at - signal::kObservables);
}

TEST(Mirror, ABendExchangesSidesAndTurnsForcesRound) {
  const replay::ReplayPlan plan = full_plans().back();
  const replay::Trace a = replay::trace(plan), b = replay::trace(mirror_of(plan));
  ASSERT_EQ(a.ticks, b.ticks);
  bool asks_too_much = false;
  for (long i = 0; i < a.ticks; ++i) {
    const double* row = &a.rows[static_cast<size_t>(i * signal::kObservableCount)];
    const double* other = &b.rows[static_cast<size_t>(i * signal::kObservableCount)];
    for (const char* pair : {"brake_slip_front_", "brake_slip_rear_", "load_front_", "load_rear_"}) {
      const size_t left = column(std::string(pair) + "left"), right = column(std::string(pair) + "right");
      ASSERT_EQ(row[left], other[right]) << pair << " at tick " << i;
      ASSERT_EQ(row[right], other[left]) << pair << " at tick " << i;
    }
    for (const char* turned : {"lateral_force_unmet", "yaw_moment_unmet"})
      ASSERT_EQ(row[column(turned)], -other[column(turned)]) << turned << " at tick " << i;
    for (const char* kept : {"speed", "motor_torque_front", "motor_torque_rear", "energy_recovered"})
      ASSERT_EQ(row[column(kept)], other[column(kept)]) << kept << " at tick " << i;
    asks_too_much = asks_too_much || row[column("yaw_moment_unmet")] != 0;
  }
  EXPECT_TRUE(asks_too_much);
}

// Limiter off and pads of constant friction. Where the brakes and not the road set the deceleration, grip
// only changes how fast force builds up and what the wheels keep: a millimetre.
constexpr double kMillimetre = 1e-3;

TEST(Monotony, MoreTyreFrictionNeverLengthensAStraightStop) {
  for (double speed : {12.0, 30.0, 55.0})
    for (double bar : {15.0, 40.0, 80.0}) {
      std::vector<replay::ReplayPlan> plans;
      reference::SampleOptions o;
      o.start_speed = speed;
      o.length_s = 60;
      std::vector<double> friction;
      for (double mu = 0.15; mu < 1.25; mu += 0.05) {
        o.road_friction = mu;
        friction.push_back(mu);
        plans.push_back(reference::sample_pressure_plan(o, bar * 1e5, 0.7 * bar * 1e5));
        for (auto& b : plans.back().params.plant.brake)
          b.pad = reference::curve({{0, 0.42}}, &plans.back().structure.plant.pad_segments);
      }
      const auto folds = run_all(plans);
      double before = 1e9;
      for (size_t i = 0; i < plans.size(); ++i) {
        const auto context = reference::sample_context(o, plans[i]);
        const auto m = measure::make_measures(folds[i], context)[0];
        ASSERT_EQ(m.state, measure::MeasureValue::State::kMeasured);
        EXPECT_LE(m.value, before + kMillimetre)
            << speed << " m/s, " << bar << " bar, friction " << friction[i];
        before = m.value;
      }
    }
}

// A log of a hand stop, its clock in whole milliseconds from `first`.
recording::Log log_from(long first) {
  std::string text = "clock,hand,speed\n";
  for (int i = 0; i <= 500; ++i) {
    const double speed = std::max(0.0, i < 100 ? 90.0 : 90.0 - 0.29 * (i - 100));
    text +=
        std::to_string(first + 10L * i) + "," + (i < 100 ? "0" : "21.5") + "," + std::to_string(speed) + "\n";
  }
  recording::ChannelMap map;
  map.time_column = "clock";
  map.time_unit = "ms";
  map.channels = {{recording::Signal::kHandTravel, "hand", "mm"},
                  {recording::Signal::kSpeed, "speed", "km/h"}};
  auto log = recording::parse_csv(text, "made.csv", map);
  EXPECT_TRUE(log.ok()) << log.status();
  return log.ok() ? *log : recording::Log{};
}

TEST(Shift, TheClockOfARecordingChangesNoBit) {
  const auto vehicle = tests::demo_document<v1::Vehicle>("sorrel/vehicle/sorrel.textproto");
  const auto calibration = tests::demo_document<v1::Calibration>("sorrel/calibrations/released.textproto");
  v1::Scenario scenario;
  document::parse(R"(name: "made" purpose: "test" scenario_class: SCENARIO_CLASS_STRAIGHT_DRY
                     recorded { recording: "r" } entry_point: ENTRY_POINT_REQUEST end_rule: END_RULE_STANDSTILL
                     road { friction_left { points { x: 0 y: 1 } } })",
                  "made.textproto", &scenario);
  document::resolve_defaults(&scenario);
  std::vector<replay::ReplayPlan> plans;
  for (long first : {0L, 7L, 123456L, 86400000L}) {
    const recording::Log log = log_from(first);
    auto made = compile::compile({vehicle, calibration, calibration, scenario, &log});
    ASSERT_TRUE(made.ok()) << made.status();
    plans.push_back(made->plan);
  }
  const auto folds = run_all(plans);
  for (size_t i = 1; i < plans.size(); ++i) {
    for (int c = 0; c < replay::kInputChannels; ++c) EXPECT_EQ(plans[i].input[c], plans[0].input[c]);
    EXPECT_TRUE(replay::same_bits(folds[i], folds[0]));
  }
  EXPECT_GT(folds[0].last_distance, 20);
}

}  // namespace
}  // namespace brakeward
