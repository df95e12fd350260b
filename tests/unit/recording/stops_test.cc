#include <cmath>

#include "logs.h"

namespace brakeward::recording {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

constexpr double kStep_s = 0.01;
constexpr double kRounding = 1e-9;

std::vector<double>& signal(Log& log, Signal s) {
  return log.signals[static_cast<size_t>(s)];
}

// The braked car's log, 10 s at 100 Hz, with speed and what else is asked for.
Log braked_log(const BrakedCar& car, bool with_deceleration) {
  Log log;
  log.file = "log.csv";
  for (int k = 0; k <= 1000; ++k) {
    const double t = k * kStep_s;
    log.time_s.push_back(t);
    signal(log, Signal::kSpeed).push_back(car.speed_mps(t));
    if (with_deceleration) signal(log, Signal::kDeceleration).push_back(car.braked(t));
  }
  return log;
}

// A pressure that is `high` between the times, 0 outside, with a ramp of 0.1 s at either end inside them.
void add_pressure(Log& log, Signal s, double from_s, double to_s, double high_pa) {
  std::vector<double>& pressure = signal(log, s);
  pressure.resize(log.time_s.size());
  for (size_t i = 0; i < log.time_s.size(); ++i) {
    const double share = std::min(log.time_s[i] - from_s, to_s - log.time_s[i]) / 0.1;
    pressure[i] = std::max(pressure[i], high_pa * std::min(1.0, std::max(0.0, share)));
  }
}

std::vector<Stop> stops_of(const Log& log, const StopRule& rule) {
  const absl::StatusOr<std::vector<Stop>> stops = find_stops(log, rule);
  EXPECT_TRUE(stops.ok()) << stops.status();
  return stops.ok() ? *stops : std::vector<Stop>();
}

StopRule decelerating(double mps2) {
  StopRule rule;
  rule.deceleration_mps2 = mps2;
  return rule;
}

StopRule pressed(double pa) {
  StopRule rule;
  rule.pressure_pa = pa;
  return rule;
}

// Closed form of a stop with constant deceleration: distance v^2 / 2a, time v / a. DERIVED. Onset and release
// are known to a sample, so the distance is uncertain by v0 x step.
TEST(Stops, ConstantDecelerationGivesTheClosedForm) {
  for (double a : {4.0, 5.0, 8.0, 12.0}) {
    BrakedCar car;
    car.t0_s = 2;
    car.deceleration_mps2 = a;
    const std::vector<Stop> stops = stops_of(braked_log(car, true), decelerating(1));
    const double end_s = car.t0_s + car.v0_mps / a;
    ASSERT_EQ(stops.size(), 1u) << a;
    const Stop& stop = stops[0];
    EXPECT_NEAR(stop.onset_s, car.t0_s, kStep_s);
    EXPECT_NEAR(stop.release_s, end_s, kStep_s);
    EXPECT_NEAR(stop.entry_speed_mps, car.v0_mps, kRounding);
    EXPECT_NEAR(stop.exit_speed_mps, 0, a * kStep_s);
    EXPECT_NEAR(stop.distance_m, car.v0_mps * car.v0_mps / (2 * a), car.v0_mps * kStep_s);
    EXPECT_EQ(stop.peak_deceleration_mps2, a);
    EXPECT_NEAR(stop.mean_deceleration_mps2, a, a * car.v0_mps * kStep_s / stop.distance_m);
    EXPECT_EQ(stop.peak_pressure_pa, 0);
    EXPECT_NEAR(stop.start_s, stop.onset_s - 1, kRounding);
    EXPECT_NEAR(stop.end_s, stop.release_s + 1, kRounding);
  }
}

// Deceleration from speed ramps from 0 to a while the window w slides over t0, so it crosses c at t0 - w/2 +
// w c/a. DERIVED.
TEST(Stops, DecelerationFromSpeedCrossesWhereTheWindowSays) {
  const BrakedCar car;
  const Log log = braked_log(car, false);
  const std::vector<Stop> stops = stops_of(log, decelerating(2));
  ASSERT_EQ(stops.size(), 1u);
  const double w = kDecelerationWindow_s;
  EXPECT_NEAR(stops[0].onset_s, car.t0_s - w / 2 + w * 2 / car.deceleration_mps2, kRounding);
  EXPECT_NEAR(stops[0].peak_deceleration_mps2, car.deceleration_mps2, kRounding);
  EXPECT_NEAR(stops[0].entry_speed_mps - stops[0].exit_speed_mps, car.v0_mps, car.deceleration_mps2 * w / 2);
}

TEST(Deceleration, FromSpeedIsExactOnARampToTheEndsOfTheLog) {
  Log log;
  for (int k = 0; k < 40; ++k) {
    log.time_s.push_back(k * 0.03 + (k % 3) * 0.004);
    signal(log, Signal::kSpeed).push_back(30 - 6.5 * log.time_s.back());
  }
  for (double a : deceleration_mps2(log)) EXPECT_NEAR(a, 6.5, kRounding);
}

TEST(Deceleration, IsAsLoggedWhereItWasLogged) {
  const Log log = braked_log(BrakedCar(), true);
  EXPECT_EQ(deceleration_mps2(log), log[Signal::kDeceleration]);
  EXPECT_THAT(deceleration_mps2(Log()), IsEmpty());
}

TEST(Stops, ThresholdsAreCrossedBetweenSamples) {
  Log log = braked_log(BrakedCar(), true);
  add_pressure(log, Signal::kFrontPressure, 1, 4, 30e5);
  const std::vector<Stop> stops = stops_of(log, pressed(2e5));
  ASSERT_EQ(stops.size(), 1u);
  EXPECT_NEAR(stops[0].onset_s, 1 + 0.1 * 2 / 30, kRounding);
  EXPECT_NEAR(stops[0].release_s, 4 - 0.1 * 2 / 30, kRounding);
  EXPECT_NEAR(stops[0].peak_pressure_pa, 30e5, 1e-3);
}

// While speed falls in a straight line, its trapezoids are exact, and so is the mean deceleration over
// distance. DERIVED.
TEST(Stops, DistanceAndMeanAreExactWithinConstantDeceleration) {
  const BrakedCar car;
  Log log = braked_log(car, true);
  add_pressure(log, Signal::kFrontPressure, 1, 4, 30e5);  // at rest only at 4.47 s
  const std::vector<Stop> stops = stops_of(log, pressed(2e5));
  ASSERT_EQ(stops.size(), 1u);
  const double in = car.speed_mps(stops[0].onset_s);
  const double out = car.speed_mps(stops[0].release_s);
  EXPECT_NEAR(stops[0].entry_speed_mps, in, kRounding);
  EXPECT_NEAR(stops[0].exit_speed_mps, out, kRounding);
  EXPECT_NEAR(stops[0].distance_m, (in * in - out * out) / (2 * car.deceleration_mps2), kRounding);
  EXPECT_NEAR(stops[0].mean_deceleration_mps2, car.deceleration_mps2, kRounding);
}

TEST(Stops, AThresholdThatIsOnlyReachedIsNotExceeded) {
  Log log = braked_log(BrakedCar(), true);
  EXPECT_THAT(stops_of(log, decelerating(BrakedCar().deceleration_mps2)), IsEmpty());
}

TEST(Stops, PressureIsTheLargerCircuit) {
  Log log = braked_log(BrakedCar(), false);
  add_pressure(log, Signal::kFrontPressure, 1.2, 2, 20e5);
  add_pressure(log, Signal::kRearPressure, 1, 3, 10e5);
  const std::vector<Stop> stops = stops_of(log, pressed(2e5));
  ASSERT_EQ(stops.size(), 1u);
  EXPECT_NEAR(stops[0].onset_s, 1.02, kRounding);
  EXPECT_NEAR(stops[0].release_s, 2.98, kRounding);
  EXPECT_NEAR(stops[0].peak_pressure_pa, 20e5, 1e-3);
}

TEST(Stops, AnyThresholdStartsOneAndNoneEndsIt) {
  Log log = braked_log(BrakedCar(), false);
  add_pressure(log, Signal::kRearPressure, 1.5, 3, 10e5);
  signal(log, Signal::kHandTravel).resize(log.time_s.size());
  for (size_t i = 100; i < 200; ++i) signal(log, Signal::kHandTravel)[i] = 0.05;
  StopRule rule = pressed(2e5);
  rule.hand_m = 0.01;
  const std::vector<Stop> stops = stops_of(log, rule);
  ASSERT_EQ(stops.size(), 1u);
  EXPECT_NEAR(stops[0].onset_s, 0.992, kRounding);
  EXPECT_NEAR(stops[0].release_s, 2.98, kRounding);
}

TEST(Stops, CloseOnesAreJoinedThenShortOnesDropped) {
  BrakedCar car;
  car.t0_s = 100;  // never brakes: speed stays
  Log log = braked_log(car, false);
  add_pressure(log, Signal::kFrontPressure, 1, 1.3, 10e5);   // alone: too short
  add_pressure(log, Signal::kFrontPressure, 3, 3.25, 10e5);  // joined with the next
  add_pressure(log, Signal::kFrontPressure, 3.4, 3.65, 10e5);
  add_pressure(log, Signal::kFrontPressure, 5, 6, 10e5);
  add_pressure(log, Signal::kFrontPressure, 6.5, 7.5, 10e5);
  StopRule rule = pressed(1e5);
  const std::vector<Stop> stops = stops_of(log, rule);
  ASSERT_EQ(stops.size(), 3u);
  EXPECT_NEAR(stops[0].onset_s, 3.01, kRounding);
  EXPECT_NEAR(stops[0].release_s, 3.64, kRounding);
  EXPECT_NEAR(stops[1].onset_s, 5.01, kRounding);
  EXPECT_NEAR(stops[2].release_s, 7.49, kRounding);
  EXPECT_NEAR(stops[1].distance_m, car.v0_mps * 0.98, kRounding);

  rule.merge_s = 0;
  rule.shortest_s = 0;
  EXPECT_EQ(stops_of(log, rule).size(), 5u);
  rule.merge_s = 10;
  EXPECT_EQ(stops_of(log, rule).size(), 1u);
}

TEST(Stops, PaddingStaysWithinTheLog) {
  Log log = braked_log(BrakedCar(), false);
  add_pressure(log, Signal::kFrontPressure, 0.5, 9.8, 10e5);
  const std::vector<Stop> stops = stops_of(log, pressed(1e5));
  ASSERT_EQ(stops.size(), 1u);
  EXPECT_EQ(stops[0].start_s, 0);
  EXPECT_EQ(stops[0].end_s, log.time_s.back());
}

TEST(Stops, ThatReachTheEndsOfTheLogEndThere) {
  Log log = braked_log(BrakedCar(), false);
  signal(log, Signal::kPedalForce).assign(log.time_s.size(), 100);
  StopRule rule;
  rule.pedal_n = 20;
  const std::vector<Stop> stops = stops_of(log, rule);
  ASSERT_EQ(stops.size(), 1u);
  EXPECT_EQ(stops[0].onset_s, 0);
  EXPECT_EQ(stops[0].release_s, log.time_s.back());
}

TEST(Stops, ABrakeHeldAtStandstillIsNone) {
  Log log = braked_log(BrakedCar(), false);  // at rest from 4.47 s on
  add_pressure(log, Signal::kFrontPressure, 6, 8, 10e5);
  EXPECT_THAT(stops_of(log, pressed(1e5)), IsEmpty());
  StopRule rule = pressed(1e5);
  rule.least_entry_speed_mps = 0;
  ASSERT_EQ(stops_of(log, rule).size(), 1u);
  EXPECT_EQ(stops_of(log, rule)[0].mean_deceleration_mps2, 0);
}

TEST(Stops, NoneInAQuietLog) {
  BrakedCar car;
  car.t0_s = 100;
  EXPECT_THAT(stops_of(braked_log(car, false), decelerating(0.5)), IsEmpty());
}

TEST(Stops, SignalsThatWereNotLoggedAreNamed) {
  Log log = read("time,p\n0,1\n0.1,1\n", [] {
    ChannelMap map = small_map();
    map.channels.erase(map.channels.begin());
    return map;
  }());
  StopRule rule;
  rule.deceleration_mps2 = 1;
  rule.pedal_n = 10;
  rule.hand_m = 0.01;
  const absl::StatusOr<std::vector<Stop>> stops = find_stops(log, rule);
  ASSERT_FALSE(stops.ok());
  EXPECT_EQ(stops.status().code(), absl::StatusCode::kInvalidArgument);
  EXPECT_THAT(
      std::string(stops.status().message()),
      AllOf(
          HasSubstr("log.csv: the deceleration threshold needs deceleration or speed, which was not logged: "
                    "map it or leave the threshold out"),
          HasSubstr("the pedal threshold needs pedal_force"),
          HasSubstr("the hand threshold needs hand_travel"),
          HasSubstr("stops need speed, which was not logged: map it")));
}

TEST(Stops, NoThreshold) {
  const absl::StatusOr<std::vector<Stop>> stops = find_stops(braked_log(BrakedCar(), true), StopRule());
  EXPECT_THAT(std::string(stops.status().message()),
              HasSubstr("no threshold is set that finds stops: set deceleration, pressure, pedal or hand"));
}

TEST(Stops, NumbersThatCannotBeUsed) {
  StopRule rule = decelerating(0);
  rule.shortest_s = -1;
  rule.merge_s = std::nan("");
  rule.padding_s = INFINITY;
  rule.least_entry_speed_mps = -2;
  const absl::StatusOr<std::vector<Stop>> stops = find_stops(braked_log(BrakedCar(), true), rule);
  EXPECT_THAT(std::string(stops.status().message()),
              AllOf(HasSubstr("the deceleration threshold is 0 m/s^2; it must be above 0"),
                    HasSubstr("the shortest stop is -1 s; it must be 0 or more"),
                    HasSubstr("the time within which stops are joined is nan s"),
                    HasSubstr("the padding is inf s"), HasSubstr("the least entry speed is -2 m/s")));
}

TEST(Stops, ALogThatIsNotWholeIsRefused) {
  Log log = braked_log(BrakedCar(), true);
  signal(log, Signal::kSpeed).pop_back();
  EXPECT_THAT(std::string(find_stops(log, decelerating(1)).status().message()),
              HasSubstr("a signal has 1000 samples, but the time base 1001"));
}

}  // namespace
}  // namespace brakeward::recording
