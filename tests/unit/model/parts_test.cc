// Sensors, driver, faults and the dead time, one by one.
#define BRAKEWARD_ISA isa_parts_test
#include <cmath>
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
    replay::start(dead, line);
    for (long tick = 0; tick < 2000; ++tick) {
      const double arrived = replay::delay(tick, double(tick), line);  // a ramp: delayed exactly
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
  replay::start(3.25, line);
  std::vector<double> out;
  for (long tick = 0; tick < 8; ++tick) out.push_back(replay::delay(tick, 1.0, line));
  EXPECT_EQ(out, (std::vector<double>{0, 0, 0, 0.75, 1, 1, 1, 1}));
}

TEST(DeadTime, EachLaneHasItsOwn) {
  math::Pack dead(0.0);
  for (int k = 0; k < 8; ++k) math::set(dead, k, 2.5 * k);
  replay::DeadTime<math::Pack> lanes;
  replay::start(dead, lanes);
  replay::DeadTime<double> alone[8];
  for (int k = 0; k < 8; ++k) replay::start(2.5 * k, alone[k]);
  for (long tick = 0; tick < 600; ++tick) {
    math::Pack command(0.0);
    for (int k = 0; k < 8; ++k) math::set(command, k, std::sin(0.1 * double(tick)) + k);
    const math::Pack arrived = replay::delay(tick, command, lanes);
    for (int k = 0; k < 8; ++k)
      ASSERT_EQ(math::get(arrived, k), replay::delay(tick, std::sin(0.1 * double(tick)) + k, alone[k]));
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
  for (double travel : {0.0, 0.01, 0.04, 0.08}) {
    driver.hand_travel = travel;
    const auto frame = plant::read_sensors(car, k, driver, sound_tracks(), plant);
    EXPECT_NEAR(frame.hand_volts[0] + frame.hand_volts[1], 5, 1e-12);
    EXPECT_NEAR(frame.hand_volts[0], 0.5 + 100 * std::fmin(travel, 0.04), 1e-12);
  }
  auto fault = sound_tracks();
  fault.hand_gain[0] = 0;
  fault.hand_offset[0] = 7;
  fault.hand_offset[1] = -3;
  const auto frame = plant::read_sensors(car, k, driver, fault, plant);
  EXPECT_EQ(frame.hand_volts[0], 5);
  EXPECT_EQ(frame.hand_volts[1], 0);
}

TEST(Faults, ActFromStartToBeforeTheEnd) {
  fault::FaultParams<double> p{};
  p.hand[0] = {10, 20, 0, 5};
  p.hand[1] = {1e15, 1e15, 0, 0};
  for (double tick : {9.0, 10.0, 19.0, 20.0}) {
    const auto e = fault::effects_at(p, false, tick);
    const bool active = tick >= 10 && tick < 20;
    EXPECT_EQ(e.hand_gain[0], active ? 0 : 1);
    EXPECT_EQ(e.hand_offset[0], active ? 5 : 0);
    EXPECT_EQ(e.hand_gain[1], 1);
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

}  // namespace
}  // namespace brakeward
