// Each kind of fault from its document to the place where the engine looks for it.
#include <algorithm>
#include <cmath>
#include <string>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "unit/compile/demo_sources.h"

namespace brakeward::compile {
namespace {

using testing::AllOf;
using testing::HasSubstr;

class Disturbances : public DemoSources {
 protected:
  // From 0.6 s to 0.9 s.
  v1::Fault& add(v1::FaultKind kind) {
    v1::Fault& f = *scenario.add_faults();
    f.set_kind(kind);
    f.set_start_s(0.6);
    f.set_end_s(0.9);
    return f;
  }
  void add_bus() {
    vehicle.mutable_sensors()->set_bus_period_ms(8);
    vehicle.mutable_sensors()->set_bus_delay_ms(1.2);
  }
  fault::FaultParams<double> faults() { return good().plan.params.fault; }
};

template <class Fault>
void expect_timed(const Fault& f) {
  EXPECT_NEAR(f.start_tick, 600, 1e-9);
  EXPECT_NEAR(f.end_tick, 900, 1e-9);
}

TEST_F(Disturbances, WithoutAnyNothingIsLookedAt) {
  const auto made = good();
  EXPECT_FALSE(made.plan.structure.fault.sensors);
  EXPECT_FALSE(made.plan.structure.plant.request_bus);
  EXPECT_FALSE(made.plan.structure.control.supervised);
  EXPECT_FALSE(made.plan.structure.plant.leaks);
}

TEST_F(Disturbances, TheAcceleratorIsPressedByAShare) {
  add(v1::FAULT_KIND_ACCELERATOR_PRESSED).set_accelerator_percent(30);
  EXPECT_TRUE(good().plan.structure.fault.accelerator);
  expect_timed(faults().accelerator);
  EXPECT_NEAR(faults().accelerator.value, 0.3, 1e-12);
  add(v1::FAULT_KIND_ACCELERATOR_PRESSED).set_accelerator_percent(60);
  EXPECT_THAT(refusal(), HasSubstr("faults[1].kind: a fault of this kind is already there"));
}

TEST_F(Disturbances, TheAccelerometerShowsMore) {
  add(v1::FAULT_KIND_ACCELEROMETER_OFFSET).set_offset_mps2(-2.5);
  EXPECT_TRUE(good().plan.structure.fault.sensors);
  expect_timed(faults().acceleration_offset);
  EXPECT_EQ(faults().acceleration_offset.value, -2.5);
}

TEST_F(Disturbances, TracksShortStickAndRustle) {
  add(v1::FAULT_KIND_TRACK_SHORT_TO_GROUND).set_track(v1::REQUEST_TRACK_HAND_A);
  EXPECT_FALSE(good().plan.structure.fault.sensors) << "a gain and an offset are enough";
  add(v1::FAULT_KIND_TRACK_STUCK).set_track(v1::REQUEST_TRACK_HAND_B);
  v1::Fault& noise = add(v1::FAULT_KIND_TRACK_NOISE);
  noise.set_track(v1::REQUEST_TRACK_PEDAL);
  noise.set_noise_volts(0.2);
  EXPECT_TRUE(good().plan.structure.fault.sensors);
  const auto f = faults();
  for (const auto* track : {&f.hand[0], &f.hand[1], &f.pedal}) expect_timed(*track);
  EXPECT_EQ(f.hand[0].gain, 0);
  EXPECT_EQ(f.hand[0].offset, 0);
  EXPECT_EQ(f.hand[1].gain, 1);
  EXPECT_EQ(f.hand[1].stuck, 1);
  EXPECT_EQ(f.pedal.noise, 0.2);
  EXPECT_EQ(f.pedal.stuck, 0);
  scenario.add_faults()->CopyFrom(noise);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("faults[3].track"), HasSubstr("already has a fault")));
}

// Seeds are whole numbers the generator takes, each track's its own, and the scenario's name makes them.
TEST_F(Disturbances, NoiseIsOfScenarioAndTrack) {
  v1::Fault& noise = add(v1::FAULT_KIND_TRACK_NOISE);
  noise.set_track(v1::REQUEST_TRACK_HAND_BOTH);
  noise.set_noise_volts(0.1);
  const auto f = faults(), again = faults();
  EXPECT_EQ(f.hand[0].seed, again.hand[0].seed);
  EXPECT_NE(f.hand[0].seed, f.hand[1].seed);
  for (const auto& track : f.hand) {
    EXPECT_EQ(track.seed, std::floor(track.seed));
    EXPECT_GE(track.seed, 1);
    EXPECT_LE(track.seed, 2147483646);
  }
  scenario.set_name("another");
  EXPECT_NE(faults().hand[0].seed, f.hand[0].seed);
}

TEST_F(Disturbances, PressureSensorsAndWheelSpeeds) {
  v1::Fault& drift = add(v1::FAULT_KIND_PRESSURE_SENSOR_DRIFT);
  drift.set_circuit(v1::CIRCUIT_REAR);
  drift.set_drift_bar_per_s(4);
  v1::Fault& offset = add(v1::FAULT_KIND_PRESSURE_SENSOR_OFFSET);
  offset.set_circuit(v1::CIRCUIT_FRONT);
  offset.set_offset_bar(-6);
  add(v1::FAULT_KIND_WHEEL_SPEED_LOST).set_wheel(v1::WHEEL_REAR_LEFT);
  const auto f = faults();
  for (const auto& sensor : f.pressure) expect_timed(sensor);
  EXPECT_NEAR(f.pressure[0].offset, -6e5, 1e-6);
  EXPECT_EQ(f.pressure[0].drift_per_tick, 0);
  EXPECT_NEAR(f.pressure[1].drift_per_tick, 400, 1e-9);  // 4 bar/s, a tick of 1 ms
  EXPECT_EQ(f.pressure[1].stuck, 0);
  expect_timed(f.speed_lost[2]);
  EXPECT_GT(f.speed_lost[0].start_tick, 1e12);
  add(v1::FAULT_KIND_PRESSURE_SENSOR_STUCK).set_circuit(v1::CIRCUIT_REAR);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("faults[3].circuit"), HasSubstr("already has a fault")));
  scenario.mutable_faults(3)->set_kind(v1::FAULT_KIND_WHEEL_SPEED_LOST);
  scenario.mutable_faults(3)->set_wheel(v1::WHEEL_REAR_LEFT);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("faults[3].wheel"), HasSubstr("already there")));
}

TEST_F(Disturbances, TheBusFallsSilentComesLateAndLosesOneMessage) {
  add_bus();
  add(v1::FAULT_KIND_BUS_SILENT);
  add(v1::FAULT_KIND_BUS_DELAYED).set_delay_ms(20.4);
  const auto made = good();
  EXPECT_TRUE(made.plan.structure.plant.request_bus);
  EXPECT_DOUBLE_EQ(made.plan.params.plant.sensor.bus_period_ticks, 8);
  EXPECT_EQ(made.plan.params.plant.sensor.bus_delay_ticks, 2);
  expect_timed(made.plan.params.fault.bus_silent);
  EXPECT_EQ(made.plan.params.fault.bus_delay.value, 21);
  scenario.mutable_faults(0)->set_kind(v1::FAULT_KIND_BUS_MESSAGE_LOST);
  scenario.mutable_faults(0)->set_start_s(0.601);
  const auto lost = faults().bus_silent;
  EXPECT_NEAR(lost.start_tick, 601, 1e-9);
  EXPECT_EQ(lost.end_tick, 608.5);  // message 76 goes out at tick 608
  scenario.mutable_faults(0)->set_end_s(0.607);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("faults[0].end_s"), HasSubstr("no message is sent")));
}

// 1 - exp(-h r / lag): an actuator at 40 % of its response rate has 1/0.4 of its lag.
TEST_F(Disturbances, ActuatorsRespondSlowlyAndDeliverLess) {
  v1::Fault& slow = add(v1::FAULT_KIND_ACTUATOR_SLOW);
  slow.set_circuit(v1::CIRCUIT_REAR);
  slow.set_remaining_percent(40);
  v1::Fault& weak = add(v1::FAULT_KIND_ACTUATOR_FLOW_LIMITED);
  weak.set_circuit(v1::CIRCUIT_FRONT);
  weak.set_remaining_percent(30);
  const auto made = good();
  EXPECT_TRUE(made.plan.structure.plant.actuator_varies);
  EXPECT_FALSE(made.plan.structure.fault.sensors);
  const auto& f = made.plan.params.fault;
  const double h = 1e-3, lag = made.plan.params.plant.actuator[1].lag;
  expect_timed(f.response[1]);
  EXPECT_NEAR(f.response[1].value * (1 - std::exp(-h / lag)), 1 - std::exp(-h / (lag / 0.4)), 1e-14);
  expect_timed(f.flow[0]);
  EXPECT_NEAR(f.flow[0].value, 0.3, 1e-15);
}

TEST_F(Disturbances, TheSelectorSaysTheOtherControlMeanwhile) {
  add(v1::FAULT_KIND_SELECTOR_CHANGED);
  const auto hand = good();
  EXPECT_FALSE(hand.plan.structure.control.selects);
  EXPECT_EQ(hand.plan.params.fault.pedal_selected, 0);
  expect_timed(hand.plan.params.fault.selector);
  EXPECT_EQ(hand.plan.params.fault.selector.value, 1);
  calibration.mutable_arbitration()->set_rule(v1::ARBITRATION_RULE_DRIVER_SELECTOR);
  calibration.mutable_arbitration()->set_change_over_ms(250);
  scenario.set_selected_control(v1::REQUEST_CONTROL_PEDAL);
  const auto pedal = good();
  EXPECT_TRUE(pedal.plan.structure.control.selects);
  EXPECT_DOUBLE_EQ(pedal.plan.params.control.arbitration.change_per_tick, 1 / 250.0);
  EXPECT_EQ(pedal.plan.params.control.arbitration.start_pedal_share, 1);
  EXPECT_EQ(pedal.plan.params.fault.pedal_selected, 1);
  EXPECT_EQ(pedal.plan.params.fault.selector.value, 0);
  EXPECT_GT(*std::max_element(pedal.plan.input[replay::kReferenceFront].begin(),
                              pedal.plan.input[replay::kReferenceFront].end()),
            0);
  // Under a baseline that goes by the selector too, the unmoved pedal asks for nothing.
  reference = calibration;
  EXPECT_THAT(refusal(), HasSubstr("never asks for 2 bar"));
}

TEST_F(Disturbances, ChecksOfTheSupervisionAreTakenOverOrNeverBite) {
  v1::Supervision& s = *calibration.mutable_supervision();
  s.set_undervoltage_volts(9);
  const auto one = good();
  EXPECT_TRUE(one.plan.structure.control.supervised);
  const auto& p = one.plan.params.control.supervision;
  EXPECT_EQ(p.supply_minimum, 9);
  EXPECT_GT(p.request_timeout_ticks, 1e12);
  EXPECT_LT(p.pedal_minimum, -1e12);
  EXPECT_GT(p.pedal_maximum, 1e12);
  EXPECT_GT(p.wheel_drop_per_tick, 1e12);
  EXPECT_GT(p.pressure_error, 1e12);
  EXPECT_EQ(p.rearm_rise_per_tick, one.plan.params.control.pressure.rise_per_tick);
  vehicle.set_tick_ms(2);
  s.set_request_timeout_ms(40);
  s.set_pedal_released_below_n(18);
  s.set_wheel_speed_drop_mps2(1500);
  s.set_wheel_speed_gap_percent(40);
  s.set_pressure_error_bar(12);
  s.set_pressure_error_ms(150);
  s.set_rearm_rise_limit_bar_per_s(200);
  const auto all = good().plan.params.control.supervision;
  EXPECT_DOUBLE_EQ(all.request_timeout_ticks, 20);
  EXPECT_EQ(all.pedal_minimum, calibration.supervision().volts_minimum());
  EXPECT_EQ(all.pedal_released_below, 18);
  EXPECT_DOUBLE_EQ(all.wheel_drop_per_tick, 3);
  EXPECT_DOUBLE_EQ(all.wheel_share, 0.6);
  EXPECT_DOUBLE_EQ(all.pressure_error, 12e5);
  EXPECT_DOUBLE_EQ(all.pressure_error_ticks, 75);
  EXPECT_DOUBLE_EQ(all.feedback_per_tick, 1.0 / 75);
  EXPECT_DOUBLE_EQ(all.rearm_rise_per_tick, 200e5 * 0.002);
}

}  // namespace
}  // namespace brakeward::compile
