// Cars that keep the schema and cannot be: where the fault is said to lie, and its words.
#include "compile/check_vehicle.h"

#include <string>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "unit/compile/demo_sources.h"

namespace brakeward::compile {
namespace {

using testing::AllOf;
using testing::HasSubstr;
using testing::Not;

class CheckVehicle : public testing::Test {
 protected:
  v1::Vehicle vehicle = tests::demo_document<v1::Vehicle>("sorrel/vehicle/sorrel.textproto");

  std::string said() {
    document::resolve_defaults(&vehicle);
    EXPECT_TRUE(document::check(vehicle).empty()) << "the schema alone must let it pass";
    document::Faults faults;
    check_vehicle(vehicle, "car.textproto", faults);
    return faults.render();
  }
  // The rear tyre in the form of 1987, as printed.
  v1::MagicFormula1987& old_form() {
    v1::Tyre& t = *vehicle.mutable_rear_tyre();
    t.clear_p_cx1();
    t.clear_p_dx1();
    t.clear_p_dx2();
    t.clear_p_ex1();
    t.clear_p_ex2();
    t.clear_p_ex3();
    t.clear_p_kx1();
    t.clear_p_kx2();
    t.clear_p_kx3();
    v1::MagicFormula1987& m = *t.mutable_coefficients_1987();
    document::parse("a1: -21.3 a2: 1144 a3: 49.6 a4: 226 a5: 0.069 a6: -0.006 a7: 0.056 a8: 0.486 c: 1.65",
                    "printed", &m);
    return m;
  }
};

TEST_F(CheckVehicle, FindsNothingInTheDemoCarOrThePublishedTyre) {
  EXPECT_EQ(said(), "");
  old_form();
  EXPECT_EQ(said(), "");
}

TEST_F(CheckVehicle, TheCentreOfGravityLiesBetweenTheAxles) {
  vehicle.mutable_chassis()->set_cog_behind_front_axle_m(3.1);
  EXPECT_THAT(said(), AllOf(HasSubstr("car.textproto: chassis.cog_behind_front_axle_m: 3.1 m"),
                            HasSubstr("behind the rear axle"), HasSubstr("2.95 m")));
}

TEST_F(CheckVehicle, ATyreHasExactlyOneForm) {
  old_form();
  vehicle.mutable_rear_tyre()->set_p_dx1(1.1);
  EXPECT_THAT(said(), AllOf(HasSubstr("car.textproto: rear_tyre: gives both forms"), HasSubstr("p_cx1"),
                            HasSubstr("coefficients_1987"), HasSubstr("keep one")));
  vehicle.mutable_rear_tyre()->clear_p_dx1();
  vehicle.mutable_rear_tyre()->set_p_kx3(0.1);
  EXPECT_THAT(said(), HasSubstr("gives both forms"));
  vehicle.mutable_rear_tyre()->set_p_kx3(0);
  vehicle.mutable_rear_tyre()->clear_coefficients_1987();
  EXPECT_THAT(said(), AllOf(HasSubstr("rear_tyre: gives neither form"), HasSubstr("p_kx1"),
                            HasSubstr("coefficients_1987")));
}

TEST_F(CheckVehicle, AFormOf2006NamesWhatItLacks) {
  vehicle.mutable_front_tyre()->clear_p_dx1();
  vehicle.mutable_front_tyre()->clear_p_ex1();
  EXPECT_THAT(said(), AllOf(HasSubstr("front_tyre.p_dx1: is missing"), HasSubstr("0.2 to 3"),
                            HasSubstr("typically 1.21"), HasSubstr("front_tyre.p_ex1: is missing"),
                            HasSubstr("coefficients_1987")));
}

// Sorrel weighs 1720 kg: 16867 N on one wheel is the most that is asked of a tyre, 3.9 times its nominal
// load.
TEST_F(CheckVehicle, PeakFrictionStaysAboveZero) {
  vehicle.mutable_front_tyre()->set_p_dx2(-0.41);
  EXPECT_THAT(said(), AllOf(HasSubstr("front_tyre.p_dx2: peak friction is -0.0"),
                            HasSubstr("N; it must be above 0"), HasSubstr("16867 N, the car's weight"),
                            HasSubstr("raise this value"), Not(HasSubstr("rear_tyre"))));
  vehicle.mutable_front_tyre()->set_p_dx2(-0.39);
  EXPECT_EQ(said(), "");
  old_form().set_a1(-80);
  EXPECT_THAT(said(), HasSubstr("rear_tyre.coefficients_1987.a1: peak friction is -0.0"));
}

TEST_F(CheckVehicle, SlipStiffnessRisesWithLoad) {
  vehicle.mutable_front_tyre()->set_p_kx2(-10);
  EXPECT_THAT(said(), AllOf(HasSubstr("front_tyre.p_kx2: slip stiffness falls from"),
                            HasSubstr("it must rise"), HasSubstr("16867 N")));
  vehicle.mutable_front_tyre()->set_p_kx2(0);
  EXPECT_EQ(said(), "");
  old_form().set_a4(-300);
  EXPECT_THAT(said(), HasSubstr("rear_tyre.coefficients_1987.a4: slip stiffness is -"));
  old_form().set_a5(0.2);
  EXPECT_THAT(said(), HasSubstr("rear_tyre.coefficients_1987.a3: slip stiffness falls from"));
}

TEST_F(CheckVehicle, ALockedWheelStillBrakes) {
  vehicle.mutable_front_tyre()->set_p_cx1(2.5);
  EXPECT_THAT(said(), AllOf(HasSubstr("front_tyre.p_cx1: friction of a locked wheel is -0."),
                            HasSubstr("lower this value")));
}

TEST_F(CheckVehicle, ADelayIsOfABusWhoseMessagesComeTickByTickAtMost) {
  vehicle.mutable_sensors()->set_bus_delay_ms(2);
  EXPECT_THAT(said(), AllOf(HasSubstr("sensors.bus_period_ms"), HasSubstr("sensors.bus_delay_ms")));
  vehicle.mutable_sensors()->set_bus_period_ms(0.6);
  EXPECT_THAT(said(), AllOf(HasSubstr("sensors.bus_period_ms: 0.6 ms"), HasSubstr("tick_ms, 1 ms, or more")));
  vehicle.mutable_sensors()->set_bus_period_ms(10);
  EXPECT_EQ(said(), "");
}

TEST_F(CheckVehicle, AnOffsetIsOfAnAccelerometer) {
  vehicle.mutable_sensors()->set_acceleration_offset_mps2(0.1);
  EXPECT_THAT(said(), HasSubstr("sensors.acceleration_step_mps2: must be given with"));
  vehicle.mutable_sensors()->set_acceleration_step_mps2(0.05);
  EXPECT_EQ(said(), "");
}

TEST_F(CheckVehicle, ADifferentialHasWheelsToJoin) {
  vehicle.mutable_driveline()->mutable_rear_differential()->set_preload_nm(60);
  vehicle.mutable_driveline()->mutable_rear_differential()->set_locking_percent(30);
  EXPECT_EQ(said(), "");
  *vehicle.mutable_driveline()->mutable_front_differential() = vehicle.driveline().rear_differential();
  EXPECT_THAT(said(), AllOf(HasSubstr("driveline.front_differential: the front wheels are not driven"),
                            HasSubstr("driveline.layout")));
  vehicle.mutable_driveline()->set_layout(v1::DRIVE_LAYOUT_ALL);
  EXPECT_EQ(said(), "");
}

TEST_F(CheckVehicle, MotorsHaveABatteryAndItThem) {
  v1::Driveline& d = *vehicle.mutable_driveline();
  document::parse("peak_torque_nm: 2000 power_limit_kw: 90 lag_ms: 30 coast_torque_nm: 2500", "made",
                  d.mutable_rear_motor());
  EXPECT_THAT(said(),
              AllOf(HasSubstr("driveline.rear_motor: the motor has no battery"),
                    HasSubstr("driveline.rear_motor.coast_torque_nm: 2500 N m"), HasSubstr("2000 N m")));
  d.mutable_rear_motor()->set_coast_torque_nm(500);
  document::parse("capacity_kwh: 60 regeneration_limit { points { x: 90 y: 100 } points { x: 100 y: 0 } }",
                  "made", d.mutable_battery());
  EXPECT_EQ(said(), "");
  d.mutable_front_differential()->set_preload_nm(60);
  d.mutable_front_differential()->set_locking_percent(0);
  EXPECT_THAT(said(), HasSubstr("the front wheels are not driven"));
  *d.mutable_front_motor() = d.rear_motor();
  EXPECT_EQ(said(), "");
  d.clear_front_motor();
  d.clear_front_differential();
  d.clear_rear_motor();
  EXPECT_THAT(said(), AllOf(HasSubstr("driveline.battery: there is no motor"), HasSubstr("front_motor")));
}

}  // namespace
}  // namespace brakeward::compile
