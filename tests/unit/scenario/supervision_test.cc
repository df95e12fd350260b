// What a calibration's supervision, accelerator overlap and power-up may say on which car: where a fault is
// said to lie, and its words.
#include "scenario/supervision.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "demo_documents.h"

namespace brakeward::scenario {
namespace {

using testing::AllOf;
using testing::HasSubstr;

class SupervisionFields : public testing::Test {
 protected:
  v1::Vehicle vehicle = tests::demo_document<v1::Vehicle>("sorrel/vehicle/sorrel.textproto");
  v1::Calibration calibration =
      tests::demo_document<v1::Calibration>("sorrel/calibrations/released.textproto");
  v1::Supervision& s = *calibration.mutable_supervision();

  std::string said() const {
    document::Faults faults;
    check_supervision(calibration, vehicle, "candidate.textproto", faults);
    return faults.render();
  }
};

TEST_F(SupervisionFields, MayAllStayUnset) {
  EXPECT_EQ(said(), "");
}

TEST_F(SupervisionFields, ATimeOutNeedsABusIsLongerThanItsMessagesAreApartAndHasAPedalToReArm) {
  s.set_request_timeout_ms(12);
  EXPECT_THAT(said(), AllOf(HasSubstr("supervision.request_timeout_ms: has no effect"),
                            HasSubstr("\"sorrel\" has no sensors.bus_period_ms")));
  vehicle.mutable_sensors()->set_bus_period_ms(10);
  vehicle.mutable_sensors()->set_bus_delay_ms(2);
  EXPECT_THAT(said(), AllOf(HasSubstr("supervision.request_timeout_ms: 12 ms"), HasSubstr("together, 12 ms"),
                            HasSubstr("supervision.pedal_released_below_n: must be given together with "
                                      "supervision.request_timeout_ms")));
  s.set_request_timeout_ms(25);
  s.set_pedal_released_below_n(20);
  EXPECT_EQ(said(), "");
}

TEST_F(SupervisionFields, AMarginOverTheAccelerometerNeedsOne) {
  calibration.mutable_slip_limit()->set_reference_margin_mps2(1);
  EXPECT_THAT(said(), AllOf(HasSubstr("slip_limit.reference_margin_mps2: has no effect"),
                            HasSubstr("\"sorrel\" has no sensors.acceleration_step_mps2")));
  vehicle.mutable_sensors()->set_acceleration_step_mps2(0.05);
  EXPECT_EQ(said(), "");
}

TEST_F(SupervisionFields, PairsAreGivenTogether) {
  s.set_wheel_speed_drop_mps2(1500);
  s.set_pressure_error_ms(200);
  EXPECT_THAT(said(), AllOf(HasSubstr("supervision.wheel_speed_gap_percent: must be given together with "
                                      "supervision.wheel_speed_drop_mps2"),
                            HasSubstr("supervision.pressure_error_bar: must be given together with "
                                      "supervision.pressure_error_ms")));
  s.set_wheel_speed_gap_percent(50);
  s.set_pressure_error_bar(15);
  EXPECT_EQ(said(), "");
}

TEST_F(SupervisionFields, ReArmingIsNoFasterThanTheRiseLimit) {
  s.set_rearm_rise_limit_bar_per_s(460);
  EXPECT_THAT(said(), AllOf(HasSubstr("supervision.rearm_rise_limit_bar_per_s: 460 bar/s"),
                            HasSubstr("pressure_control.rise_limit_bar_per_s, 450 bar/s")));
  s.set_rearm_rise_limit_bar_per_s(450);
  EXPECT_EQ(said(), "");
}

TEST_F(SupervisionFields, TheAcceleratorIsGivenBackNoEarlierThanItCountsAsPressed) {
  v1::AcceleratorOverlap& o = *calibration.mutable_accelerator_overlap();
  o.set_accelerator_percent(8);
  o.set_released_below_percent(9);
  EXPECT_THAT(said(), HasSubstr("accelerator_overlap.released_below_percent: 9 %; give at most "
                                "accelerator_overlap.accelerator_percent, 8 %"));
  o.set_released_below_percent(8);
  EXPECT_EQ(said(), "");
}

TEST_F(SupervisionFields, APowerUpNeedsASupplyAPedalToReArmAndNoLongerTestOnTheMove) {
  v1::PowerUp& p = *calibration.mutable_power_up();
  p.set_running_above_volts(12);
  p.set_self_test_ms(100);
  p.set_moving_self_test_ms(200);
  EXPECT_THAT(said(),
              AllOf(HasSubstr("power_up.running_above_volts: 12 V, so that the controller never runs; give "
                              "less than front_actuator.nominal_supply_volts of vehicle \"sorrel\", 12 V"),
                    HasSubstr("power_up.moving_self_test_ms: 200 ms; give at most power_up.self_test_ms, "
                              "100 ms"),
                    HasSubstr("supervision.pedal_released_below_n: must be given together with power_up")));
  p.set_running_above_volts(6.5);
  p.set_moving_self_test_ms(0);
  s.set_pedal_released_below_n(20);
  EXPECT_EQ(said(), "");
  vehicle.mutable_front_actuator()->clear_nominal_supply_volts();
  EXPECT_THAT(said(), HasSubstr("power_up: has no effect, because vehicle \"sorrel\" has no "
                                "front_actuator.nominal_supply_volts"));
}

}  // namespace
}  // namespace brakeward::scenario
