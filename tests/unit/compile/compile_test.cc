// From documents and a log to a plan: input shapes, stretches, onset, what is held, reference demand, and the
// words of every refusal.
#include "compile/compile.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "math/curve.h"
#include "unit/compile/demo_sources.h"

namespace brakeward::compile {
namespace {

using recording::Signal;
using testing::AllOf;
using testing::HasSubstr;

class Compile : public DemoSources {
 protected:
  // A 6 s log at 100 Hz: hand on from 1 s to 4 s at 20 mm, speed falling from 25 m/s, front pressure.
  void record() {
    scenario_from(R"(name: "made" purpose: "test" scenario_class: SCENARIO_CLASS_STRAIGHT_DRY
                     recorded { recording: "r" } entry_point: ENTRY_POINT_REQUEST
                     end_rule: END_RULE_STANDSTILL road { friction_left { points { x: 0 y: 1 } } })");
    log = {};
    for (int i = 0; i <= 600; ++i) {
      const double t = 0.01 * i;
      const bool on = t >= 1 && t < 4;
      log.time_s.push_back(t);
      channel(Signal::kHandTravel).push_back(on ? 0.020 : 0);
      channel(Signal::kSpeed).push_back(t < 1 ? 25 : std::max(0.0, 25 - 8 * (t - 1)));
      channel(Signal::kFrontPressure).push_back(0.8e5 + (on ? 40e5 : 0));
    }
  }
  std::vector<double>& channel(Signal s) { return log.signals[static_cast<size_t>(s)]; }
};

double at(const CompiledScenario& c, replay::InputChannel channel, double t) {
  return c.plan.input[channel][static_cast<size_t>(std::llround(t / c.context.tick_s))];
}

TEST_F(Compile, AStepIsOneFromOnsetToTheEndOfItsHold) {
  const auto c = good();
  EXPECT_EQ(at(c, replay::kHandTravel, 0.499), 0);
  EXPECT_DOUBLE_EQ(at(c, replay::kHandTravel, 0.5), 0.020);
  EXPECT_DOUBLE_EQ(at(c, replay::kHandTravel, 1.499), 0.020);
  EXPECT_EQ(at(c, replay::kHandTravel, 1.501), 0);
  EXPECT_NEAR(c.context.onset_s, 0.5, 1e-12);
  EXPECT_EQ(c.plan.params.fold.onset_tick, 500);
  EXPECT_DOUBLE_EQ(c.plan.params.plant.start_speed, 25);
  EXPECT_EQ(c.plan.params.last_tick, 2500);  // a second after the hold
  EXPECT_EQ(c.plan.params.ends_standing, 0);
  EXPECT_DOUBLE_EQ(at(c, replay::kTargetSpeed, 0.4), 25);
  EXPECT_LT(at(c, replay::kTargetSpeed, 0.6), 0);
  for (const auto& channel : c.plan.input) EXPECT_EQ(channel.size(), c.plan.input[0].size());
}

TEST_F(Compile, AStepAtTheVeryStartHasReachedEveryLevelThere) {
  scenario.mutable_synthetic()->set_onset_s(0);
  const auto c = good();
  for (const double rise : c.context.rise_s) EXPECT_EQ(rise, 0);
  EXPECT_EQ(c.plan.params.fold.onset_tick, 0);
}

TEST_F(Compile, ARampRisesLinearlyAndHolds) {
  scenario.mutable_synthetic()->set_shape(v1::SYNTHETIC_SHAPE_RAMP);
  scenario.mutable_synthetic()->set_rise_s(0.4);
  const auto c = good();
  EXPECT_NEAR(at(c, replay::kHandTravel, 0.6), 0.005, 1e-12);
  EXPECT_NEAR(at(c, replay::kHandTravel, 0.8), 0.015, 1e-12);
  EXPECT_NEAR(at(c, replay::kHandTravel, 1.2), 0.020, 1e-12);
  // The onset is where the ramp passes 2 mm: SAE J299 control trigger (verified in a public summary).
  EXPECT_NEAR(c.context.onset_s, 0.5 + 0.4 * 2 / 20, 0.0011);
}

TEST_F(Compile, ADriverWhoDrivesOnDoesSoAfterTheRequest) {
  v1::SyntheticInput* input = scenario.mutable_synthetic();
  input->set_hold_s(0.5);
  input->set_after_s(3);
  const double end = input->onset_s() + input->rise_s() + 0.5 + input->fall_s();
  const auto coasting = good();
  EXPECT_EQ(coasting.plan.input[replay::kTargetSpeed].size(),
            static_cast<size_t>(std::lround((end + 3) * 1000)) + 1);
  EXPECT_LT(at(coasting, replay::kTargetSpeed, end + 2.9), 0);
  input->set_drives_on_after_s(1.5);
  const auto driven = good();
  EXPECT_LT(at(driven, replay::kTargetSpeed, end + 1.49), 0);
  EXPECT_NEAR(at(driven, replay::kTargetSpeed, end + 1.51), driven.plan.params.plant.start_speed, 1e-12);
}

TEST_F(Compile, TheMarkerIsADistanceFromOnset) {
  EXPECT_EQ(good().plan.params.fold.marker_distance, kNeverTick);
  scenario.set_marker_m(25);
  EXPECT_EQ(good().plan.params.fold.marker_distance, 25);
  EXPECT_EQ(good().context.marker_m, 25);
}

TEST_F(Compile, APulseTrainIsOnForHalfOfEachPeriod) {
  scenario.mutable_synthetic()->set_shape(v1::SYNTHETIC_SHAPE_PULSE_TRAIN);
  scenario.mutable_synthetic()->set_period_s(0.4);
  const auto c = good();
  for (double t : {0.55, 0.65, 0.95, 1.05, 1.35}) EXPECT_GT(at(c, replay::kHandTravel, t), 0) << t;
  for (double t : {0.75, 0.85, 1.15, 1.25}) EXPECT_EQ(at(c, replay::kHandTravel, t), 0) << t;
}

TEST_F(Compile, APedalInputTriggersAt22Newton) {
  scenario.mutable_synthetic()->set_control(v1::REQUEST_CONTROL_PEDAL);
  scenario.mutable_synthetic()->set_force_n(220);
  scenario.mutable_synthetic()->set_shape(v1::SYNTHETIC_SHAPE_RAMP);
  scenario.mutable_synthetic()->set_rise_s(0.5);
  const auto c = good();
  EXPECT_EQ(at(c, replay::kHandTravel, 1.2), 0);
  EXPECT_NEAR(at(c, replay::kPedalForce, 1.2), 220, 1e-9);
  EXPECT_NEAR(c.context.onset_s, 0.5 + 0.5 * 22 / 220, 0.0011);
}

TEST_F(Compile, RefusesASyntheticInputWithoutAmplitudeOrSpeed) {
  scenario.mutable_synthetic()->set_travel_mm(0);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("scenario made"), HasSubstr("synthetic.travel_mm")));
  SetUp();
  scenario.clear_initial_speed_kph();
  EXPECT_THAT(refusal(), AllOf(HasSubstr("initial_speed_kph"), HasSubstr("unset")));
  SetUp();
  scenario.mutable_synthetic()->set_travel_mm(1.9);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("2 mm"), HasSubstr("22 N"), HasSubstr("nothing brakes")));
}

TEST_F(Compile, TheReferenceDemandIsTheBaselinesStaticAnswer) {
  // 20 mm less 1.5 mm dead band on the curve from (18 mm, 36 bar) to (28 mm, 62 bar): 37.3 bar; front share
  // 60 % less 0.15 points at 90 km/h and plus 0.1825 points at 37.3 bar.
  const double demand = 36 + 0.5 / 10 * 26, share = 0.60 - 0.005 * 30 / 100 + 0.01 * (demand - 30) / 40;
  const double peak = 2 * share * demand * 1e5;
  const auto c = good();
  EXPECT_NEAR(at(c, replay::kReferenceFront, 1.0), peak, 1e-3);
  EXPECT_EQ(at(c, replay::kReferenceFront, 0.4), 0);
  const double shares[] = {1e5 / peak, 0.10, 0.63, 0.90};
  for (int i = 0; i < 4; ++i) {
    EXPECT_NEAR(c.context.level_pa[i], shares[i] * peak, 1e-3);
    EXPECT_EQ(c.plan.params.fold.pressure_level[i], c.context.level_pa[i]);
    EXPECT_NEAR(c.context.rise_s[i], 0.499 + 0.001 * shares[i], 1e-9);
  }
  EXPECT_NEAR(c.context.fall_s, 1.501, 0.0011);
}

TEST_F(Compile, TheReferenceDoesNotFollowTheCandidate) {
  const auto before = good();
  auto* feel = calibration.mutable_hand_control()->mutable_effort_grades(0)->mutable_feel();
  for (auto& point : *feel->mutable_points()) point.set_y(0.5 * point.y());
  const auto after = good();
  EXPECT_EQ(before.plan.input[replay::kReferenceFront], after.plan.input[replay::kReferenceFront]);
  EXPECT_NE(before.plan.params.control.request.hand_feel.slope[0],
            after.plan.params.control.request.hand_feel.slope[0]);
}

TEST_F(Compile, StepsAndGradesAreResolvedByName) {
  const auto own = good();
  EXPECT_NEAR(own.plan.params.control.balance.front_share, 0.60, 1e-12);
  scenario.set_balance_step("+2");
  scenario.set_effort_grade("light");
  const auto other = good();
  EXPECT_NEAR(other.plan.params.control.balance.front_share, 0.62, 1e-12);
  EXPECT_GT(other.plan.params.control.request.hand_feel.slope[1],
            own.plan.params.control.request.hand_feel.slope[1]);
  scenario.set_balance_step("+7");
  EXPECT_THAT(refusal(), AllOf(HasSubstr("balance_step"), HasSubstr("\"released\""), HasSubstr("\"+7\"")));
  scenario.set_balance_step("0");
  scenario.set_effort_grade("heavy");
  EXPECT_THAT(refusal(), AllOf(HasSubstr("effort_grade"), HasSubstr("\"heavy\"")));
}

TEST_F(Compile, TimesBecomeTicks) {
  const auto c = good();
  EXPECT_NEAR(c.plan.params.plant.actuator[0].dead_ticks, 14, 1e-12);
  EXPECT_NEAR(c.plan.params.control.request.debounce_ticks, 50, 1e-12);
  vehicle.set_tick_ms(2);
  const auto slow = good();
  EXPECT_NEAR(slow.plan.params.plant.actuator[0].dead_ticks, 7, 1e-12);
  EXPECT_NEAR(slow.plan.params.control.request.debounce_ticks, 25, 1e-12);
  EXPECT_EQ(slow.plan.params.last_tick, 1250);
  EXPECT_NEAR(slow.plan.params.control.pressure.rise_per_tick, 450e5 * 0.002, 1e-6);
}

TEST_F(Compile, FaultsAreTimedInTicksOnePerTrack) {
  v1::Fault* f = scenario.add_faults();
  f->set_kind(v1::FAULT_KIND_TRACK_OFFSET);
  f->set_track(v1::REQUEST_TRACK_HAND_B);
  f->set_start_s(0.7);
  f->set_end_s(1.1);
  f->set_offset_volts(0.4);
  const auto c = good();
  EXPECT_GT(c.plan.params.fault.hand[0].start_tick, 1e12);
  EXPECT_NEAR(c.plan.params.fault.hand[1].start_tick, 700, 1e-9);
  EXPECT_NEAR(c.plan.params.fault.hand[1].end_tick, 1100, 1e-9);
  EXPECT_EQ(c.plan.params.fault.hand[1].offset, 0.4);
  EXPECT_TRUE(c.context.has_fault);
  scenario.add_faults()->CopyFrom(*f);
  scenario.mutable_faults(1)->set_track(v1::REQUEST_TRACK_HAND_BOTH);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("faults[1].track"), HasSubstr("already has a fault")));
}

TEST_F(Compile, ARecordedStopHoldsTheLastInputBeforeTheRelease) {
  record();
  const auto c = good();
  EXPECT_NEAR(c.context.onset_s, 1.0, 0.011);
  EXPECT_NEAR(c.extrapolated_from_s, 4.0, 0.02);
  EXPECT_EQ(c.plan.params.ends_standing, 1);
  EXPECT_DOUBLE_EQ(c.plan.input[replay::kHandTravel].back(), 0.020);  // held: the car may still roll
  EXPECT_LT(c.plan.input[replay::kTargetSpeed].back(), 0);
  EXPECT_EQ(c.plan.input[replay::kRecordedDeceleration].back(), measure::kNotRecorded);
  EXPECT_NEAR(at(c, replay::kRecordedDeceleration, 2.5), 8, 0.01);
  EXPECT_NEAR(c.plan.params.plant.start_speed, 25, 1e-9);
}

TEST_F(Compile, ASnubEndsWithItsRecording) {
  record();
  scenario.set_end_rule(v1::END_RULE_END_OF_INPUT);
  const auto c = good();
  EXPECT_EQ(c.plan.params.last_tick, 6000);
  EXPECT_GT(c.extrapolated_from_s, 1e6);
  EXPECT_EQ(at(c, replay::kHandTravel, 5), 0);
}

TEST_F(Compile, AStretchMovesTimeZero) {
  record();
  scenario.mutable_recorded()->set_start_s(0.5);
  scenario.mutable_recorded()->set_end_s(3.5);
  const auto c = good();
  EXPECT_NEAR(c.context.onset_s, 0.5, 0.011);
  EXPECT_DOUBLE_EQ(at(c, replay::kHandTravel, 1.0), 0.020);
}

TEST_F(Compile, RefusesAStretchOutsideTheRecording) {
  record();
  scenario.mutable_recorded()->set_end_s(7);
  EXPECT_THAT(refusal(),
              AllOf(HasSubstr("recorded"), HasSubstr("7.0"), HasSubstr("6.0"), HasSubstr("inside")));
  scenario.mutable_recorded()->set_end_s(3);
  scenario.mutable_recorded()->set_start_s(2.95);
  EXPECT_THAT(refusal(), HasSubstr("at least 0.1 s"));
}

TEST_F(Compile, RefusesAMissingLogOrChannel) {
  record();
  EXPECT_THAT(std::string(compile({vehicle, calibration, reference, scenario, nullptr}).status().message()),
              HasSubstr("recorded.recording"));
  channel(Signal::kHandTravel).clear();
  EXPECT_THAT(refusal(), AllOf(HasSubstr("hand_travel"), HasSubstr("map it or choose another entry point")));
  record();
  channel(Signal::kSpeed).clear();
  EXPECT_THAT(refusal(), AllOf(HasSubstr("initial_speed_kph"), HasSubstr("no speed channel")));
  scenario.set_initial_speed_kph(80);
  EXPECT_NEAR(good().plan.params.plant.start_speed, 80 / 3.6, 1e-12);
}

TEST_F(Compile, PressureEntryTakesTheZeroOffAndBypassesTheRequest) {
  record();
  scenario.set_entry_point(v1::ENTRY_POINT_PRESSURE);
  scenario.mutable_recorded()->set_rear_pressure_ratio(0.5);
  const auto c = good();
  EXPECT_TRUE(c.plan.structure.plant.pressure_entry);
  EXPECT_TRUE(c.context.pressure_entry);
  EXPECT_NEAR(at(c, replay::kFrontLinePressure, 0.5), 0, 1e-6);
  EXPECT_NEAR(at(c, replay::kFrontLinePressure, 2), 40e5, 1e-3);
  EXPECT_NEAR(at(c, replay::kRearLinePressure, 2), 20e5, 1e-3);
  EXPECT_EQ(at(c, replay::kHandTravel, 2), 0);
  channel(Signal::kFrontPressure).clear();
  EXPECT_THAT(refusal(), HasSubstr("front_pressure"));
}

TEST_F(Compile, ABendNeedsTheTrackWidths) {
  vehicle.mutable_chassis()->clear_front_track_width_m();
  vehicle.mutable_chassis()->clear_rear_track_width_m();
  vehicle.mutable_chassis()->clear_front_roll_share_percent();
  v1::CurvePoint* point = scenario.mutable_road()->mutable_path_curvature()->add_points();
  point->set_x(0);
  point->set_y(8);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("road.path_curvature"), HasSubstr("chassis.front_track_width_m")));
  vehicle.mutable_chassis()->set_front_track_width_m(1.6);
  EXPECT_THAT(refusal(), HasSubstr("chassis.rear_track_width_m"));
  vehicle.mutable_chassis()->set_rear_track_width_m(1.58);
  EXPECT_THAT(refusal(), HasSubstr("chassis.front_roll_share_percent"));
  vehicle.mutable_chassis()->set_front_roll_share_percent(60);
  const auto c = good();
  EXPECT_TRUE(c.plan.structure.plant.lateral);
  EXPECT_DOUBLE_EQ(c.plan.params.plant.road.path_curvature.y0, 0.008);
  EXPECT_DOUBLE_EQ(c.plan.params.plant.roll_share[signal::kRear], 0.4);
  EXPECT_DOUBLE_EQ(c.plan.params.plant.tyre[signal::kFront].lateral_ratio, 1);
}

TEST_F(Compile, ARoadWithBumpsNeedsWheelsOnSprings) {
  EXPECT_FALSE(good().plan.structure.plant.bumps);
  document::parse("points { x: 10 y: 0 } points { x: 10.5 y: 40 }", "made",
                  scenario.mutable_road()->mutable_bump_right());
  EXPECT_THAT(refusal(), AllOf(HasSubstr("road.bump_right: the road has bumps"), HasSubstr("\"sorrel\""),
                               HasSubstr("front_suspension")));
  v1::Suspension& s = *vehicle.mutable_front_suspension();
  s.set_unsprung_mass_kg(45);
  s.set_wheel_rate_n_per_mm(28);
  s.set_damping_ns_per_m(2500);
  s.set_tyre_stiffness_n_per_mm(220);
  EXPECT_THAT(refusal(), HasSubstr("rear_suspension"));
  *vehicle.mutable_rear_suspension() = s;
  const auto c = good();
  EXPECT_TRUE(c.plan.structure.plant.bumps);
  const auto& p = c.plan.params.plant;
  EXPECT_DOUBLE_EQ(p.suspension[signal::kRear].tyre_rate, 220e3);
  EXPECT_DOUBLE_EQ(p.suspension[signal::kFront].rate, 28e3);
  EXPECT_NEAR(math::value(p.road.bump[1], c.plan.structure.plant.bump_segments, 12), 0.04, 1e-15);
  EXPECT_EQ(math::value(p.road.bump[0], c.plan.structure.plant.bump_segments, 12), 0);
  *scenario.mutable_road()->mutable_bump_left() = scenario.road().bump_right();
  scenario.mutable_road()->clear_bump_right();
  EXPECT_NEAR(good().plan.params.plant.road.bump[1].slope[0], 0.08, 1e-12);
  vehicle.mutable_rear_suspension()->set_unsprung_mass_kg(300);
  vehicle.mutable_chassis()->set_mass_kg(900);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("road.bump_left"), HasSubstr("210.508 kg"),
                               HasSubstr("rear_suspension.unsprung_mass_kg as 300 kg")));
}

TEST_F(Compile, TheDrivelineGoesIntoThePlant) {
  const auto before = good();
  EXPECT_FALSE(before.plan.structure.plant.motors || before.plan.structure.plant.rear_locks ||
               before.plan.structure.plant.front_locks);
  v1::Driveline& d = *vehicle.mutable_driveline();
  document::parse("preload_nm: 60 locking_percent: 30", "made", d.mutable_rear_differential());
  document::parse("peak_torque_nm: 2000 power_limit_kw: 90 lag_ms: 30 coast_torque_nm: 500", "made",
                  d.mutable_rear_motor());
  document::parse("capacity_kwh: 60 regeneration_limit { points { x: 90 y: 100 } points { x: 100 y: 0 } }",
                  "made", d.mutable_battery());
  document::resolve_defaults(&vehicle);
  scenario.set_battery_charge_percent(95);
  const auto c = good();
  const auto& p = c.plan.params.plant;
  const auto& st = c.plan.structure.plant;
  EXPECT_TRUE(st.motors && st.rear_locks && !st.front_locks);
  EXPECT_DOUBLE_EQ(p.differential[signal::kRear].ratio, 0.3);
  EXPECT_DOUBLE_EQ(p.motor[signal::kRear].power, 90e3);
  EXPECT_DOUBLE_EQ(p.motor[signal::kRear].coast_fade, 10 / 3.6);
  EXPECT_EQ(p.motor[signal::kFront].peak, 0);
  EXPECT_DOUBLE_EQ(p.battery.capacity, 216e6);
  EXPECT_DOUBLE_EQ(p.battery.start_charge, 0.95);
  EXPECT_NEAR(math::value(p.battery.regeneration_limit, st.regeneration_segments, 0.95), 50e3, 1e-6);
  scenario.clear_battery_charge_percent();
  EXPECT_EQ(good().plan.params.plant.battery.start_charge, 0.5);
}

TEST_F(Compile, ANamedSurfaceTakesThePlaceOfTheTyresCurve) {
  scenario.mutable_road()->set_surface(v1::SURFACE_WET_ASPHALT);
  const auto c = good();
  EXPECT_TRUE(c.plan.structure.plant.exponential);
  EXPECT_FALSE(c.plan.structure.plant.lateral);
  EXPECT_NEAR(c.plan.params.plant.road.surface.peak, .8013, 5e-5);
  scenario.mutable_road()->set_surface(v1::SURFACE_ICE);
  EXPECT_NEAR(good().plan.params.plant.road.surface.peak, .05, 1e-9);
}

TEST_F(Compile, LoadsAndAirGoIntoThePlant) {
  scenario.set_cargo_kg(120);
  scenario.set_air_density_kg_per_m3(1.1);
  const auto c = good();
  EXPECT_DOUBLE_EQ(c.plan.params.plant.mass, vehicle.chassis().mass_kg() + 120);
  EXPECT_DOUBLE_EQ(c.plan.params.plant.drag, 0.5 * 1.1 * vehicle.aero().drag_area_m2());
  EXPECT_NEAR(c.plan.params.plant.static_front, 1 - 1.38 / 2.95, 1e-12);
  EXPECT_EQ(c.plan.params.plant.driven_share[signal::kFront], 0);
  EXPECT_EQ(c.plan.params.plant.driven_share[signal::kRear], 0.5);
}

}  // namespace
}  // namespace brakeward::compile
