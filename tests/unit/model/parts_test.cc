// Sensors, driver, faults and the dead time, one by one.
#define BRAKEWARD_ISA isa_parts_test
#include <cmath>
#include <random>
#include <vector>

#include "gtest/gtest.h"
#include "model/plant/sensors.inl.h"
#include "reference/sample_plan.h"
#include "replay/engine.inl.h"

namespace brakeward {
namespace {

TEST(DeadTime, DelaysByWholeAndFractionalTicks) {
  for (double dead : {0.0, 1.0, 0.25, 14.0, 14.5, 27.75, 199.9}) {
    replay::DeadTime<double> line;
    math::start(dead, line);
    for (long tick = 0; tick < 2000; ++tick) {
      const double arrived = math::delay(tick, double(tick), line);  // a ramp: delayed exactly
      const double expected = double(tick) - dead;
      if (expected >= 0) {
        ASSERT_NEAR(arrived, expected, 1e-9) << dead << " at " << tick;
      } else {
        ASSERT_NEAR(arrived, 0, 1) << dead << " at " << tick;
      }
    }
  }
}

TEST(DeadTime, AStepArrivesWholeAfterTheNextTick) {
  replay::DeadTime<double> line;
  math::start(3.25, line);
  std::vector<double> out;
  for (long tick = 0; tick < 8; ++tick) out.push_back(math::delay(tick, 1.0, line));
  EXPECT_EQ(out, (std::vector<double>{0, 0, 0, 0.75, 1, 1, 1, 1}));
}

TEST(DeadTime, EachLaneHasItsOwn) {
  math::Pack dead(0.0);
  for (int k = 0; k < 8; ++k) math::set(dead, k, 2.5 * k);
  replay::DeadTime<math::Pack> lanes;
  math::start(dead, lanes);
  replay::DeadTime<double> alone[8];
  for (int k = 0; k < 8; ++k) math::start(2.5 * k, alone[k]);
  for (long tick = 0; tick < 600; ++tick) {
    math::Pack command(0.0);
    for (int k = 0; k < 8; ++k) math::set(command, k, std::sin(0.1 * double(tick)) + k);
    const math::Pack arrived = math::delay(tick, command, lanes);
    for (int k = 0; k < 8; ++k)
      ASSERT_EQ(math::get(arrived, k), math::delay(tick, std::sin(0.1 * double(tick)) + k, alone[k]));
  }
}

TEST(Sensors, QuantizeToTheNearestStep) {
  EXPECT_EQ(plant::quantize(1.2345, 0.0, 0.0), 1.2345);
  const double step = 0.02;
  for (double x = -1; x < 1; x += 0.00137) {
    const double q = plant::quantize(x, step, plant::per_step(step));
    EXPECT_LE(std::fabs(q - x), 0.5 * step * (1 + 1e-12));
    EXPECT_NEAR(q / step, std::round(q / step), 1e-9);
  }
}

signal::FaultEffects<double> sound_tracks() {
  signal::FaultEffects<double> f{};
  for (int t = 0; t < signal::kHandTracks; ++t) f.hand_gain[t] = 1;
  return f;
}

TEST(Sensors, TracksOpposeAndStayWithinTheirSupply) {
  const replay::ReplayPlan plan = reference::sample_plan();
  auto car = plan.params.plant;
  car.sensor.voltage_step = 0;
  const auto k = plant::constants_of(car, plan.structure.plant);
  signal::DriverInput<double> driver{};
  signal::PlantSignals<double> plant{};
  plant::SensorState<double> kept;
  for (double travel : {0.0, 0.01, 0.04, 0.08}) {
    driver.hand_travel = travel;
    const auto frame = plant::read_sensors(car, k, false, driver, sound_tracks(), plant, kept);
    EXPECT_NEAR(frame.hand_volts[0] + frame.hand_volts[1], 5, 1e-12);
    EXPECT_NEAR(frame.hand_volts[0], 0.5 + 100 * std::fmin(travel, 0.04), 1e-12);
  }
  auto fault = sound_tracks();
  fault.hand_gain[0] = 0;
  fault.hand_offset[0] = 7;
  fault.hand_offset[1] = -3;
  const auto frame = plant::read_sensors(car, k, false, driver, fault, plant, kept);
  EXPECT_EQ(frame.hand_volts[0], 5);
  EXPECT_EQ(frame.hand_volts[1], 0);
}

TEST(Faults, ActFromStartToBeforeTheEnd) {
  fault::FaultParams<double> p{};
  p.hand[0] = {10, 20, 0, 5, 0, 1, 0};
  p.hand[1] = {1e15, 1e15, 0, 0, 0, 1, 0};
  fault::FaultState<double> s;
  fault::start(p, s);
  for (double tick : {9.0, 10.0, 19.0, 20.0}) {
    const auto e = fault::effects_at(p, {}, false, tick, s);
    const bool active = tick >= 10 && tick < 20;
    EXPECT_EQ(e.hand_gain[0], active ? 0 : 1);
    EXPECT_EQ(e.hand_offset[0], active ? 5 : 0);
    EXPECT_EQ(e.hand_gain[1], 1);
  }
}

// The sequence is that of the C++ standard's minstd_rand0.
TEST(Faults, NoiseFollowsTheMinimalStandardGenerator) {
  std::minstd_rand0 reference(1);
  double x = 1;
  for (int i = 0; i < 10000; ++i) {
    x = math::lehmer(x);
    ASSERT_EQ(x, double(reference())) << i;
  }
  EXPECT_EQ(x, 1043618065);  // Park and Miller 1988
  double sum = 0, square = 0, greatest = 0;
  for (int i = 0; i < 100000; ++i) {
    x = math::lehmer(x);
    const double even = math::even(x);
    sum += even;
    square += even * even;
    greatest = std::fmax(greatest, std::fabs(even));
  }
  EXPECT_LE(greatest, 1);
  EXPECT_NEAR(sum / 1e5, 0, 5 * std::sqrt(1 / 3.0 / 1e5));  // five standard errors
  EXPECT_NEAR(square / 1e5, 1 / 3.0, 5 * std::sqrt(4 / 45.0 / 1e5));
}

fault::FaultParams<double> nothing_wrong() {
  fault::FaultParams<double> p{};
  for (auto* f : {&p.hand[0], &p.hand[1], &p.pedal}) *f = {1e15, 1e15, 1, 0, 0, 1, 0};
  return p;
}

// Frames of a hand that moves 0.1 mm a tick, a pedal 1 N, pressures 1 bar, wheels that turn.
std::vector<signal::SensorFrame<double>> frames_under(const fault::FaultParams<double>& p) {
  auto car = reference::sample_plan().params.plant;
  car.sensor.voltage_step = car.sensor.pressure_step = car.sensor.wheel_speed_step = 0;
  const auto k = plant::constants_of(car, reference::sample_plan().structure.plant);
  plant::SensorState<double> kept;
  plant::start(car.sensor, kept);
  fault::FaultState<double> s;
  fault::start(p, s);
  std::vector<signal::SensorFrame<double>> out;
  signal::DriverInput<double> driver{};
  signal::PlantSignals<double> plant{};
  for (int i = 0; i < 40; ++i) {
    driver.hand_travel = 1e-4 * i;
    driver.pedal_force = i;
    for (double& pressure : plant.line_pressure) pressure = 1e5 * i;
    for (double& speed : plant.wheel_speed) speed = 100;
    const auto effects = fault::effects_at(p, {true}, false, double(i), s);
    out.push_back(plant::read_sensors(car, k, true, driver, effects, plant, kept));
  }
  return out;
}

TEST(Faults, StuckTracksKeepTheVoltageBeforeTheStart) {
  auto p = nothing_wrong();
  p.hand[1] = {10, 20, 1, 0, 0, 1, 1};
  p.pedal = {15, 25, 1, 0, 0, 1, 1};
  const auto sound = frames_under(nothing_wrong()), seen = frames_under(p);
  for (size_t i = 0; i < seen.size(); ++i) {
    EXPECT_EQ(seen[i].hand_volts[0], sound[i].hand_volts[0]);
    EXPECT_EQ(seen[i].hand_volts[1], sound[i >= 10 && i < 20 ? 9 : i].hand_volts[1]) << i;
    EXPECT_EQ(seen[i].pedal_volts, sound[i >= 15 && i < 25 ? 14 : i].pedal_volts) << i;
  }
}

TEST(Faults, NoiseIsNewAtEachTickAndBoundedAndThePedalMayBeShorted) {
  auto p = nothing_wrong();
  p.hand[0] = {10, 30, 1, 0, 0.2, 12345, 0};
  p.pedal = {10, 30, 0, 5, 0, 1, 0};
  const auto sound = frames_under(nothing_wrong()), seen = frames_under(p);
  double before = 0;
  for (size_t i = 0; i < seen.size(); ++i) {
    const bool now = i >= 10 && i < 30;
    const double noise = seen[i].hand_volts[0] - sound[i].hand_volts[0];
    EXPECT_LE(std::fabs(noise), 0.2);
    EXPECT_EQ(noise != 0, now) << i;
    EXPECT_TRUE(!now || noise != before) << i;
    before = noise;
    EXPECT_EQ(seen[i].pedal_volts, now ? 5 : sound[i].pedal_volts) << i;
  }
}

TEST(Faults, PressureSensorsDriftAndStickAndWheelSpeedsAreLost) {
  auto p = nothing_wrong();
  p.pressure[0] = {10, 20, 3e5, 0.5e5, 0};
  p.pressure[1] = {10, 20, 0, 0, 1};
  p.speed_lost[2] = {10, 20, 1};
  const auto seen = frames_under(p);
  for (size_t i = 0; i < seen.size(); ++i) {
    const bool now = i >= 10 && i < 20;
    const double t = double(i);
    EXPECT_DOUBLE_EQ(seen[i].pressure[0], 1e5 * t + (now ? 3e5 + 0.5e5 * (t - 10) : 0)) << i;
    EXPECT_EQ(seen[i].pressure[1], now ? 9e5 : 1e5 * t) << i;
    for (size_t w = 0; w < 4; ++w) EXPECT_EQ(seen[i].wheel_speed[w], w == 2 && now ? 0 : 100) << i;
  }
}

TEST(Driver, RegainsSpeedWithinItsTractionAndLetsGo) {
  const driver::DriverParams<double> p{15000, 6000};
  driver::DriverSample<double> sample{};
  sample.target_speed = 30;
  EXPECT_NEAR(driver::drive(p, sample, 29.9).traction, 1500, 1e-6);
  EXPECT_EQ(driver::drive(p, sample, 20.0).traction, 6000);
  EXPECT_EQ(driver::drive(p, sample, 31.0).traction, 0);
  EXPECT_EQ(driver::drive(p, sample, 29.9).coasting, 0);
  sample.target_speed = -1;
  EXPECT_EQ(driver::drive(p, sample, 20.0).traction, 0);
  EXPECT_EQ(driver::drive(p, sample, 20.0).coasting, 1);
}

// Pressed further than the driver does anyway, or not at all; what is cut counts as an accelerator let go.
TEST(Accelerator, IsPressedAtLeastByTheShareAndCut) {
  const driver::DriverParams<double> p{15000, 6000};
  const auto driven = [&](double target, double speed, double pressed) {
    driver::DriverSample<double> sample{};
    sample.target_speed = target;
    auto input = driver::drive(p, sample, speed);
    driver::press_accelerator(p, pressed, input);
    return input;
  };
  const auto coasting = driven(-1, 20, 0);
  EXPECT_EQ(coasting.traction, 0);
  EXPECT_EQ(coasting.coasting, 1);
  EXPECT_EQ(coasting.accelerator, 0);
  const auto regaining = driven(20.1, 20, 0);
  EXPECT_NEAR(regaining.traction, 1500, 1e-6);
  EXPECT_NEAR(regaining.accelerator, 0.25, 1e-9);
  EXPECT_NEAR(driven(20.1, 20, 0.1).accelerator, 0.25, 1e-9) << "the driver asks for more";
  auto pressed = driven(-1, 20, 0.5);
  EXPECT_EQ(pressed.traction, 3000);
  EXPECT_EQ(pressed.coasting, 0);
  EXPECT_EQ(pressed.accelerator, 0.5);
  driver::cut_accelerator(0.2, pressed);
  EXPECT_NEAR(pressed.traction, 600, 1e-9);
  EXPECT_NEAR(pressed.coasting, 0.8, 1e-12);
}

}  // namespace
}  // namespace brakeward
