// The driver of a scenario: what is refused where his documents do not fit together.
#include "scenario/driver.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "end_to_end/library_copy.h"
#include "scenario/library.h"

namespace brakeward::scenario {
namespace {

using end_to_end::LibraryCopy;
using testing::HasSubstr;

std::string faults_of(const LibraryCopy& copy) {
  document::Faults faults;
  load_library(copy.folder(), {}, faults);
  return faults.render();
}

void follow(v1::Scenario& s) {
  s.mutable_stated()->mutable_deceleration_mps2()->add_points()->set_x(0);
  s.mutable_stated()->mutable_deceleration_mps2()->mutable_points(0)->set_y(2);
  s.mutable_follow()->set_control(v1::REQUEST_CONTROL_HAND);
  s.mutable_follow()->set_travel_mm_per_mps2(3);
}

void feel(v1::Scenario& s) {
  s.mutable_synthetic()->set_shape(v1::SYNTHETIC_SHAPE_RAMP);
  s.mutable_synthetic()->set_rise_s(3);
  s.mutable_synthetic()->set_hold_s(0.2);
  s.mutable_synthetic()->set_fall_s(3);
  s.mutable_feel()->set_to_mps2(3);
}

struct Case {
  const char* name;
  void (*change)(v1::Scenario&);
  const char* text;  // empty: nothing is refused
};

const Case kCases[] = {
    {"a_driver_who_follows", follow, ""},
    {"a_driver_who_drives_on_too_late",
     [](v1::Scenario& s) {
       s.mutable_synthetic()->set_shape(v1::SYNTHETIC_SHAPE_STEP);
       s.mutable_synthetic()->set_after_s(2);
       s.mutable_synthetic()->set_drives_on_after_s(2);
     },
     "synthetic.drives_on_after_s: 2 s is not before the replay ends, synthetic.after_s, 2 s"},
    {"a_speed_without_a_driver",
     [](v1::Scenario& s) {
       follow(s);
       s.clear_follow();
     },
     "follow: unset; a stated speed needs a driver"},
    {"speed_and_deceleration",
     [](v1::Scenario& s) {
       follow(s);
       s.mutable_stated()->mutable_speed_kph()->add_points()->set_x(0);
       s.mutable_stated()->mutable_speed_kph()->mutable_points(0)->set_y(50);
     },
     "stated: gives speed_kph and deceleration_mps2; keep one"},
    {"neither", [](v1::Scenario& s) { follow(s), s.mutable_stated()->clear_deceleration_mps2(); },
     "stated: gives neither speed_kph nor deceleration_mps2"},
    {"no_initial_speed", [](v1::Scenario& s) { follow(s), s.clear_initial_speed_kph(); },
     "initial_speed_kph: unset; a stated deceleration needs it"},
    {"nothing_to_follow",
     [](v1::Scenario& s) {
       s.mutable_follow()->set_control(v1::REQUEST_CONTROL_HAND);
       s.mutable_follow()->set_travel_mm_per_mps2(3);
     },
     "follow: the input is a generated request"},
    {"no_gain", [](v1::Scenario& s) { follow(s), s.mutable_follow()->clear_travel_mm_per_mps2(); },
     "follow.travel_mm_per_mps2: unset; a driver with this control needs it"},
    {"a_foot_with_travel",
     [](v1::Scenario& s) { follow(s), s.mutable_follow()->set_control(v1::REQUEST_CONTROL_PEDAL); },
     "follow.travel_mm_per_mps2: REQUEST_CONTROL_PEDAL has no use for it"},
    {"a_hand_beyond_the_stop",
     [](v1::Scenario& s) { follow(s), s.mutable_follow()->set_travel_limit_mm(100); },
     "follow.travel_limit_mm: 100 mm; the control's stop is at 40 mm"},
    {"too_slow_a_reaction", [](v1::Scenario& s) { follow(s), s.mutable_follow()->set_reaction_ms(1200); },
     "follow.reaction_ms: 1200 ms is above the allowed 0 to 1000 ms"},
    {"a_straight_road_to_steer_along", [](v1::Scenario& s) { s.mutable_steering(); },
     "steering.angle_degrees: unset, and the road is straight"},
    {"feel", feel, ""},
    {"feel_of_a_step", [](v1::Scenario& s) { s.mutable_feel()->set_to_mps2(3); },
     "feel: is read off a synthetic SYNTHETIC_SHAPE_RAMP"},
    {"feel_without_a_fall", [](v1::Scenario& s) { feel(s), s.mutable_synthetic()->clear_fall_s(); },
     "synthetic.fall_s: unset; feel is read off a slow fall"},
    {"feel_from_the_start", [](v1::Scenario& s) { feel(s), s.mutable_synthetic()->set_onset_s(0.2); },
     "synthetic.onset_s: 0.2 s; the car coasts before"},
    {"a_step_that_falls", [](v1::Scenario& s) { s.mutable_synthetic()->set_fall_s(1); },
     "synthetic.fall_s: SYNTHETIC_SHAPE_STEP has no use for it"},
};

std::string name_of(const testing::TestParamInfo<Case>& info) {
  return info.param.name;
}

class Driver : public testing::TestWithParam<Case> {};

TEST_P(Driver, IsTakenOrRefusedWithAddressAndRemedy) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  copy.change<v1::Scenario>(copy.file("scenarios/step_hand.textproto"), GetParam().change);
  if (*GetParam().text == 0)
    EXPECT_EQ(faults_of(copy), "");
  else
    EXPECT_THAT(faults_of(copy), HasSubstr(GetParam().text));
}

INSTANTIATE_TEST_SUITE_P(Scenarios, Driver, testing::ValuesIn(kCases), name_of);

TEST(Compensation, NeedsAShiftToTakeOff) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  copy.change<v1::Vehicle>(copy.vehicle(),
                           [](v1::Vehicle& v) { v.mutable_sensors()->clear_hand_shift_mm_per_degree(); });
  copy.change<v1::Calibration>(copy.released(), [](v1::Calibration& c) {
    c.mutable_hand_control()->set_steering_compensation_mm_per_degree(0.01);
  });
  EXPECT_THAT(faults_of(copy), HasSubstr("hand_control.steering_compensation_mm_per_degree: has nothing to "
                                         "take off, because vehicle \"sorrel\" has no "
                                         "sensors.hand_shift_mm_per_degree"));
}

TEST(Steering, NeedsAHandControlThatFeelsIt) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  copy.change<v1::Vehicle>(copy.vehicle(),
                           [](v1::Vehicle& v) { v.mutable_sensors()->clear_hand_shift_mm_per_degree(); });
  copy.change<v1::Scenario>(copy.file("scenarios/step_hand.textproto"), [](v1::Scenario& s) {
    s.mutable_steering()->mutable_angle_degrees()->add_points()->set_x(0);
    s.mutable_steering()->mutable_angle_degrees()->mutable_points(0)->set_y(30);
  });
  EXPECT_THAT(faults_of(copy), HasSubstr("steering: has no effect, because vehicle \"sorrel\" has no "
                                         "sensors.hand_shift_mm_per_degree"));
}

}  // namespace
}  // namespace brakeward::scenario
