// Does the net still catch fish? Each slip a person or a tool makes in a calibration must turn the verdict of
// the whole demo library.
#include <gtest/gtest.h>

#include <cmath>

#include "end_to_end/library_copy.h"

namespace brakeward::end_to_end {
namespace {

struct Defect {
  const char* name;
  void (*plant)(v1::Calibration&);
};

template <class Curve>
void scale(Curve* curve, double x, double y) {
  for (auto& point : *curve->mutable_points()) {
    point.set_x(point.x() * x);
    point.set_y(point.y() * y);
  }
}

void scale_feel(v1::Calibration& c, double x, double y) {
  for (auto& grade : *c.mutable_hand_control()->mutable_effort_grades()) scale(grade.mutable_feel(), x, y);
}

// Where a limit falls below what the hold at standstill asks for, which would be refused, the hold goes with
// it.
const Defect kDefects[] = {
    {"swapped_axles",
     [](v1::Calibration& c) {
       for (auto& step : *c.mutable_balance()->mutable_steps())
         step.set_front_percent(100 - step.front_percent());
     }},
    {"selector_one_step_off_by_ten",
     [](v1::Calibration& c) {
       for (auto& step : *c.mutable_balance()->mutable_steps())
         if (step.name() == c.balance().step()) step.set_front_percent(step.front_percent() - 10);
     }},
    {"wrong_sign_of_one_track",
     [](v1::Calibration& c) {
       auto* track = c.mutable_hand_control()->mutable_track_a();
       track->set_mm_per_volt(-track->mm_per_volt());
     }},
    {"wrong_sign_of_both_tracks",
     [](v1::Calibration& c) {
       for (auto* track :
            {c.mutable_hand_control()->mutable_track_a(), c.mutable_hand_control()->mutable_track_b()})
         track->set_mm_per_volt(-track->mm_per_volt());
     }},
    {"swapped_tracks",
     [](v1::Calibration& c) {
       c.mutable_hand_control()->mutable_track_a()->Swap(c.mutable_hand_control()->mutable_track_b());
     }},
    {"stale_scale_of_both_tracks",
     [](v1::Calibration& c) {
       for (auto* track :
            {c.mutable_hand_control()->mutable_track_a(), c.mutable_hand_control()->mutable_track_b()})
         track->set_mm_per_volt(0.9 * track->mm_per_volt());
     }},
    {"zero_of_both_tracks_off_by_2_mm",
     [](v1::Calibration& c) {
       auto* hand = c.mutable_hand_control();
       for (auto* track : {hand->mutable_track_a(), hand->mutable_track_b()})
         track->set_zero_volts(track->zero_volts() + 2 / track->mm_per_volt());
     }},
    {"feel_in_centimetres", [](v1::Calibration& c) { scale_feel(c, 0.1, 1); }},
    {"feel_pressure_from_psi", [](v1::Calibration& c) { scale_feel(c, 1, 0.0689476); }},
    {"feel_pressure_per_axle_not_mean", [](v1::Calibration& c) { scale_feel(c, 1, 0.5); }},
    {"pedal_force_in_kgf",
     [](v1::Calibration& c) { c.mutable_pedal()->set_n_per_volt(c.pedal().n_per_volt() / 9.80665); }},
    {"pedal_zero_not_taken", [](v1::Calibration& c) { c.mutable_pedal()->set_zero_volts(0); }},
    {"dead_band_ten_times",
     [](v1::Calibration& c) {
       c.mutable_hand_control()->set_dead_band_mm(10 * c.hand_control().dead_band_mm());
     }},
    {"low_pass_from_rad_per_s",
     [](v1::Calibration& c) {
       c.mutable_hand_control()->set_low_pass_hz(c.hand_control().low_pass_hz() / (2 * 3.14159265358979));
     }},
    {"rise_limit_decimal_slip",
     [](v1::Calibration& c) {
       c.mutable_pressure_control()->set_rise_limit_bar_per_s(c.pressure_control().rise_limit_bar_per_s() /
                                                              10);
     }},
    {"fall_limit_decimal_slip",
     [](v1::Calibration& c) {
       c.mutable_pressure_control()->set_fall_limit_bar_per_s(c.pressure_control().fall_limit_bar_per_s() /
                                                              10);
       c.mutable_standstill_hold()->set_release_rate_bar_per_s(c.pressure_control().fall_limit_bar_per_s());
     }},
    {"demand_limit_decimal_slip",
     [](v1::Calibration& c) {
       c.mutable_pressure_control()->set_demand_limit_bar(c.pressure_control().demand_limit_bar() / 10);
       c.mutable_standstill_hold()->set_limit_bar(c.pressure_control().demand_limit_bar());
     }},
    {"proportional_gain_decimal_slip",
     [](v1::Calibration& c) {
       c.mutable_pressure_control()->set_proportional_gain(10 * c.pressure_control().proportional_gain());
     }},
    {"prefill_in_the_wrong_unit",
     [](v1::Calibration& c) { c.mutable_pressure_control()->set_prefill_bar(50); }},
    {"no_slip_limit",
     [](v1::Calibration& c) {
       for (auto* axle : {c.mutable_slip_limit()->mutable_front(), c.mutable_slip_limit()->mutable_rear()})
         axle->set_release_slip_percent(80);
     }},
    {"slip_limit_releases_on_nothing",
     [](v1::Calibration& c) {
       for (auto* axle : {c.mutable_slip_limit()->mutable_front(), c.mutable_slip_limit()->mutable_rear()}) {
         axle->set_reapply_slip_percent(1);
         axle->set_release_slip_percent(2);
       }
     }},
    {"reference_speed_falls_too_slowly",
     [](v1::Calibration& c) { c.mutable_slip_limit()->set_reference_change_mps2(3); }},
    {"debounce_in_the_wrong_unit",
     [](v1::Calibration& c) {
       c.mutable_supervision()->set_fault_debounce_ms(10 * c.supervision().fault_debounce_ms());
     }},
    {"no_demand_on_one_track",
     [](v1::Calibration& c) { c.mutable_supervision()->set_limited_demand_percent(0); }},
    {"voltage_window_cuts_the_stroke",
     [](v1::Calibration& c) {
       c.mutable_supervision()->set_volts_minimum(1);
       c.mutable_supervision()->set_volts_maximum(4);
     }},
    {"light_grade_left_selected",
     [](v1::Calibration& c) { c.mutable_hand_control()->set_effort_grade("light"); }},
};

class SeededDefect : public testing::TestWithParam<Defect> {};

TEST_P(SeededDefect, TurnsTheVerdict) {
  LibraryCopy library;
  library.make_baseline();
  v1::Run run;
  const Outcome outcome = library.check(library.candidate(GetParam().plant), run);
  EXPECT_EQ(outcome.exit_code, 1) << outcome.err << outcome.out;
  EXPECT_EQ(run.verdict(), v1::VERDICT_FAIL);
}

INSTANTIATE_TEST_SUITE_P(All, SeededDefect, testing::ValuesIn(kDefects),
                         [](const auto& info) { return std::string(info.param.name); });

// How far the two tracks may differ shows only where they do: the demo's tracks agree to their quantization,
// so that the fault is put in here. An offset of one track, in travel, over the whole step.
void offset_a_track(const LibraryCopy& library, double offset_mm) {
  library.change<v1::Scenario>(library.file("scenarios/step_hand.textproto"), [&](v1::Scenario& s) {
    v1::Fault* fault = s.add_faults();
    fault->set_kind(v1::FAULT_KIND_TRACK_OFFSET);
    fault->set_track(v1::REQUEST_TRACK_HAND_A);
    fault->set_start_s(0.01);
    fault->set_end_s(60);
    library.change<v1::Vehicle>(library.vehicle(), [&](v1::Vehicle& v) {
      fault->set_offset_volts(offset_mm * v.sensors().hand_track_a().volts_per_unit());
    });
  });
}

void expect_fails(double offset_mm, double allowed_mm) {
  LibraryCopy library;
  library.keep({"step_hand"});
  offset_a_track(library, offset_mm);
  library.make_baseline();
  v1::Run run;
  const Outcome outcome = library.check(library.candidate([&](v1::Calibration& c) {
    ASSERT_TRUE((c.supervision().track_difference_mm() < offset_mm) != (allowed_mm < offset_mm));
    c.mutable_supervision()->set_track_difference_mm(allowed_mm);
  }),
                                        run);
  EXPECT_EQ(outcome.exit_code, 1) << outcome.err << outcome.out;
}

TEST(TrackDifference, TooWideAnAllowanceTurnsTheVerdict) {
  expect_fails(8, 50);
}

TEST(TrackDifference, TooNarrowAnAllowanceTurnsTheVerdict) {
  expect_fails(0.6, 0.2);
}

// And lets the water through: what no driver or instrument would notice must pass.
TEST(HarmlessChange, Passes) {
  LibraryCopy library;
  library.make_baseline();
  v1::Run run;
  const Outcome outcome = library.check(library.candidate([](v1::Calibration& c) {
    auto* p = c.mutable_pressure_control();
    p->set_rise_limit_bar_per_s(1.001 * p->rise_limit_bar_per_s());
    c.mutable_hand_control()->set_low_pass_hz(1.001 * c.hand_control().low_pass_hz());
  }),
                                        run);
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err << outcome.out;
}

}  // namespace
}  // namespace brakeward::end_to_end
