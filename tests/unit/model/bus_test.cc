// The request bus: held between messages, late, silent, and the same in every lane.
#define BRAKEWARD_ISA isa_bus_test
#include <cmath>
#include <vector>

#include "gtest/gtest.h"
#include "model/plant/bus.inl.h"

namespace brakeward::plant {
namespace {

constexpr int kTicks = 200;

struct Line {
  double period = 10, delay = 0;
  double silent_from = 1e9, silent_to = 1e9;
  double late_from = 1e9, late_to = 1e9, late_by = 0;
};

struct Arrival {
  double volts, age;
};

signal::FaultEffects<double> effects(const Line& line, int tick) {
  signal::FaultEffects<double> out{};
  out.bus_silent = tick >= line.silent_from && tick < line.silent_to ? 1 : 0;
  out.bus_delay = tick >= line.late_from && tick < line.late_to ? line.late_by : 0;
  return out;
}

// What the controller is told when the sensor shows the tick.
std::vector<Arrival> told(const Line& line) {
  SensorParams<double> p{};
  p.bus_period_ticks = line.period;
  p.bus_delay_ticks = line.delay;
  RequestBus<double> bus;
  std::vector<Arrival> out;
  for (int i = 0; i < kTicks; ++i) {
    signal::SensorFrame<double> frame{};
    frame.hand_volts[0] = frame.pedal_volts = i;
    frame.hand_volts[1] = -i;
    cross_bus(p, i, effects(line, i), frame, bus);
    EXPECT_EQ(frame.pedal_volts, frame.hand_volts[0]);
    EXPECT_EQ(frame.hand_volts[1], -frame.hand_volts[0]);
    out.push_back({frame.hand_volts[0], frame.request_age});
  }
  return out;
}

TEST(RequestBus, HoldsTheLastMessageForAPeriod) {
  const auto seen = told({});
  for (int i = 0; i < kTicks; ++i) {
    EXPECT_EQ(seen[static_cast<size_t>(i)].volts, i - i % 10);
    EXPECT_EQ(seen[static_cast<size_t>(i)].age, i % 10);
  }
}

// Message n goes out at the first tick not before n periods: no drift over the time of a replay.
TEST(RequestBus, SendsAtTheFirstTickOfAFractionalPeriod) {
  Line line;
  line.period = 3.3;
  const auto seen = told(line);
  for (int i = 0; i < kTicks; ++i)
    EXPECT_EQ(seen[static_cast<size_t>(i)].volts, std::ceil(std::floor(i / 3.3 + 1e-9) * 3.3)) << i;
}

TEST(RequestBus, DelaysEachMessage) {
  Line line;
  line.delay = 4;
  const auto seen = told(line);
  for (int i = 4; i < kTicks; ++i) {
    EXPECT_EQ(seen[static_cast<size_t>(i)].volts, (i - 4) - (i - 4) % 10);
    EXPECT_EQ(seen[static_cast<size_t>(i)].age, (i - 4) % 10);
  }
}

TEST(RequestBus, ASilentBusKeepsWhatCameLastAndGrowsOld) {
  Line line;
  line.silent_from = 45;
  line.silent_to = 95;
  const auto seen = told(line);
  for (int i = 40; i < 100; ++i) {
    EXPECT_EQ(seen[static_cast<size_t>(i)].volts, 40);
    EXPECT_EQ(seen[static_cast<size_t>(i)].age, i - 40);
  }
  EXPECT_EQ(seen[100].volts, 100);
}

// A message that comes late is older than usual, and none is taken again or out of order.
TEST(RequestBus, LateMessagesComeInOrder) {
  Line line;
  line.late_from = 45;
  line.late_to = 130;
  line.late_by = 25;
  const auto seen = told(line);
  double before = 0;
  for (int i = 0; i < kTicks; ++i) {
    const Arrival& at = seen[static_cast<size_t>(i)];
    EXPECT_GE(at.volts, before);
    before = at.volts;
    const int sent = i >= 75 && i < 130 ? i - 25 : i;
    if (i >= 75 && (i < 130 || i >= 140)) {
      EXPECT_EQ(at.volts, sent - sent % 10) << i;
    }
  }
  EXPECT_EQ(seen[74].volts, 40);
}

TEST(RequestBus, EachLaneHasItsOwn) {
  std::vector<Line> lines(8);
  for (int k = 0; k < 8; ++k) {
    Line& line = lines[static_cast<size_t>(k)];
    line.period = 3 + 1.7 * k;
    line.delay = k;
    if (k % 2 == 0) line.silent_from = 30 + k, line.silent_to = 60;
    if (k % 3 == 0) line.late_from = 80, line.late_to = 120, line.late_by = 5 * k;
  }
  SensorParams<math::Pack> p{};
  for (int k = 0; k < 8; ++k) {
    math::set(p.bus_period_ticks, k, lines[static_cast<size_t>(k)].period);
    math::set(p.bus_delay_ticks, k, lines[static_cast<size_t>(k)].delay);
  }
  std::vector<std::vector<Arrival>> alone;
  for (const Line& line : lines) alone.push_back(told(line));
  RequestBus<math::Pack> bus;
  for (int i = 0; i < kTicks; ++i) {
    signal::FaultEffects<math::Pack> fault{};
    for (int k = 0; k < 8; ++k) {
      math::set(fault.bus_silent, k, effects(lines[static_cast<size_t>(k)], i).bus_silent);
      math::set(fault.bus_delay, k, effects(lines[static_cast<size_t>(k)], i).bus_delay);
    }
    signal::SensorFrame<math::Pack> frame{};
    frame.hand_volts[0] = frame.pedal_volts = math::Pack(i);
    cross_bus(p, i, fault, frame, bus);
    for (int k = 0; k < 8; ++k) {
      const Arrival& expected = alone[static_cast<size_t>(k)][static_cast<size_t>(i)];
      ASSERT_EQ(math::get(frame.hand_volts[0], k), expected.volts) << k << " at " << i;
      ASSERT_EQ(math::get(frame.request_age, k), expected.age) << k << " at " << i;
    }
  }
}

}  // namespace
}  // namespace brakeward::plant
