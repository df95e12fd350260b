// Logs that were recorded on real cars and are not part of this project. Set BRAKEWARD_RECORDINGS to a folder
// that holds them, one folder a source; without it these tests skip. Facts beside the checks are those of
// each log's own channels.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "recording/recording.h"

namespace brakeward::recording {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;

constexpr double kKph = 1 / 3.6;

class RealLogs : public ::testing::Test {
 protected:
  void SetUp() override {
    const char* folder = std::getenv("BRAKEWARD_RECORDINGS");
    if (folder == nullptr) {
      GTEST_SKIP() << "BRAKEWARD_RECORDINGS is not set: real logs were not read.";
    }
    folder_ = folder;
  }

  Log read(const std::filesystem::path& file, const ChannelMap& map) const {
    absl::StatusOr<Log> log = read_csv(folder_ / file, map);
    EXPECT_TRUE(log.ok()) << log.status();
    return log.ok() ? *std::move(log) : Log();
  }

  std::filesystem::path folder_;
};

std::vector<Stop> stops_of(const Log& log, const StopRule& rule) {
  const absl::StatusOr<std::vector<Stop>> stops = find_stops(log, rule);
  EXPECT_TRUE(stops.ok()) << stops.status();
  return stops.ok() ? *stops : std::vector<Stop>();
}

// GitHub m3rlin45/libxrk, commit 1d8e4c86acddcda6269168eaf41049f43b8199d5, folder single-seater: nine files,
// each one stop from about 1 s before pressure rises to about 0.5 s after it falls; corner a goes from about
// 205 to 75 km/h, b from about 190 to 60 (two laps of it end at 3 to 4 bar, still braking), c from about 155
// to 90.
TEST_F(RealLogs, SingleSeaterHoldsNineStops) {
  ChannelMap map;
  map.time_column = "time_s";
  map.channels = {{.signal = Signal::kFrontPressure, .column = "line_pressure_bar", .unit = "bar"},
                  {.signal = Signal::kSpeed, .column = "gps_speed_kph", .unit = "km/h"},
                  {.signal = Signal::kDeceleration, .column = "accel_long_g", .unit = "g", .scale = -1},
                  {.signal = Signal::kLateralAcceleration, .column = "accel_lat_g", .unit = "g"},
                  {.signal = Signal::kSteeringAngle, .column = "steering_deg", .unit = "deg"}};
  StopRule rule;
  rule.pressure_pa = 2e5;
  struct Corner {
    const char* file;
    double entry_kph;
    double exit_kph;
    double exit_within_kph;  // more where the file ends before the brake is let go
  };
  const Corner corners[] = {
      {"lap2_corner_a", 205, 75, 6}, {"lap3_corner_a", 205, 75, 6},  {"lap4_corner_a", 205, 75, 6},
      {"lap6_corner_a", 205, 75, 6}, {"lap2_corner_b", 190, 60, 15}, {"lap4_corner_b", 190, 60, 15},
      {"lap6_corner_b", 190, 60, 6}, {"lap4_corner_c", 155, 90, 6},  {"lap6_corner_c", 155, 90, 6}};
  for (const Corner& corner : corners) {
    SCOPED_TRACE(corner.file);
    const Log log = read(std::filesystem::path("single-seater") / (std::string(corner.file) + ".csv"), map);
    EXPECT_THAT(log.repairs, IsEmpty()) << "uniform 0.05 s step, no gaps";
    const std::vector<Stop> stops = stops_of(log, rule);
    ASSERT_EQ(stops.size(), 1u);
    const Stop& stop = stops[0];
    EXPECT_NEAR(stop.onset_s, 1, 0.25);
    EXPECT_NEAR(stop.entry_speed_mps, corner.entry_kph * kKph, 5 * kKph);
    EXPECT_NEAR(stop.exit_speed_mps, corner.exit_kph * kKph, corner.exit_within_kph * kKph);
    // d(speed)/dt agrees with the accelerometer: mean 0.02 g over straight parts. Over whole stops the road's
    // slope (3 degrees at most, 0.05 g) and cornering come on top.
    const double by_speed = (stop.entry_speed_mps - stop.exit_speed_mps) / (stop.release_s - stop.onset_s);
    const std::vector<double> logged = resample(log, Signal::kDeceleration, stop.onset_s, 0.01,
                                                static_cast<size_t>((stop.release_s - stop.onset_s) / 0.01));
    double sum = 0;
    for (double a : logged) sum += a;
    EXPECT_NEAR(sum / static_cast<double>(logged.size()), by_speed, 0.07 * 9.80665);
    EXPECT_GT(stop.peak_deceleration_mps2, 1.2 * 9.80665);
    EXPECT_GT(stop.peak_pressure_pa, 30e5);
    EXPECT_LT(stop.peak_pressure_pa, 45e5);
  }
}

// GitHub linklab-uva/deep-dynamics, commit 88c856539c84fe7004b933d1cf03aad14ab69bd2, folder
// autonomous-open-wheel: 25 Hz for 476 s on a clock counted from 1970, header after "# "; nine braking events
// with deceleration above 2 m/s^2 for more than 0.5 s, peaks 2.3 to 4.6 m/s^2; the first rows stand still
// with the brake held.
TEST_F(RealLogs, AutonomousOpenWheelHoldsNineBrakingEvents) {
  ChannelMap map;
  map.time_column = "time(s)";
  map.header_prefix = "# ";
  map.channels = {{.signal = Signal::kFrontPressure, .column = "brake_ped_cmd(kPa)", .unit = "kPa"},
                  {.signal = Signal::kSpeed, .column = "vx(m/s)", .unit = "m/s"},
                  {.signal = Signal::kWheelSpeedFrontLeft, .column = "wheel_fl(kmph)", .unit = "km/h"},
                  {.signal = Signal::kWheelSpeedFrontRight, .column = "wheel_fr(kmph)", .unit = "km/h"},
                  {.signal = Signal::kWheelSpeedRearLeft, .column = "wheel_rl(kmph)", .unit = "km/h"},
                  {.signal = Signal::kWheelSpeedRearRight, .column = "wheel_rr(kmph)", .unit = "km/h"},
                  {.signal = Signal::kSteeringAngle, .column = "delta(rad)", .unit = "rad"},
                  {.signal = Signal::kAccelerator, .column = "throttle_ped_cmd(%)", .unit = "%"}};
  const Log log = read("autonomous-open-wheel/road_course.csv", map);
  ASSERT_FALSE(log.time_s.empty());
  EXPECT_THAT(log.repairs, IsEmpty()) << "uniform";
  EXPECT_NEAR(log.time_s.back(), 476, 0.1);
  for (size_t i = 1; i < log.time_s.size(); ++i) ASSERT_NEAR(log.time_s[i] - log.time_s[i - 1], 0.04, 1e-6);

  StopRule rule;
  rule.deceleration_mps2 = 2;
  rule.shortest_s = 0.5;
  const std::vector<Stop> stops = stops_of(log, rule);
  ASSERT_EQ(stops.size(), 9u) << format_stops(log, stops);
  const auto softer = [](const Stop& a, const Stop& b) {
    return a.peak_deceleration_mps2 < b.peak_deceleration_mps2;
  };
  const auto [least, most] = std::minmax_element(stops.begin(), stops.end(), softer);
  // The source's peaks have two digits.
  EXPECT_NEAR(least->peak_deceleration_mps2, 2.3, 0.1);
  EXPECT_NEAR(most->peak_deceleration_mps2, 4.6, 0.1);
  EXPECT_NEAR(most->peak_pressure_pa, 1370e3, 40e3);
  EXPECT_GT(stops[0].onset_s, 100) << "the brake held at standstill is no event";

  // The wheels and the body agree while the car rolls freely at speed: mean over all samples above 10 m/s.
  double ratio = 0;
  size_t count = 0;
  for (size_t i = 0; i < log.time_s.size(); ++i) {
    if (log[Signal::kSpeed][i] < 10) continue;
    ratio += log[Signal::kWheelSpeedFrontLeft][i] / log[Signal::kSpeed][i];
    ++count;
  }
  EXPECT_NEAR(ratio / static_cast<double>(count), 1, 0.03) << "km/h was converted";
}

// GitHub commaai/comma2k19, commit 4c7f1a6e1957745beadc1def0e7225f559b09a2a, folder wheel-speed-drive: 83 Hz
// in bursts over 60 s; a slow-down of 1.5 m/s^2 about 30.9 s in and a stronger one cut off by the end at 59
// s.
TEST_F(RealLogs, WheelSpeedDriveComesInBursts) {
  ChannelMap map;
  map.time_column = "t_s";
  map.channels = {{.signal = Signal::kWheelSpeedFrontLeft, .column = "wheel_fl_mps", .unit = "m/s"},
                  {.signal = Signal::kWheelSpeedFrontRight, .column = "wheel_fr_mps", .unit = "m/s"},
                  {.signal = Signal::kWheelSpeedRearLeft, .column = "wheel_rl_mps", .unit = "m/s"},
                  {.signal = Signal::kWheelSpeedRearRight, .column = "wheel_rr_mps", .unit = "m/s"}};
  const Log wheels = read("wheel-speed-drive/wheel_speed.csv", map);
  ASSERT_EQ(wheels.repairs.size(), 1u);
  EXPECT_THAT(wheels.repairs[0].text, HasSubstr("time steps spread from"));
  EXPECT_THAT(wheels.repairs[0].text, HasSubstr("the time stamps are used as written"));
  EXPECT_NEAR(static_cast<double>(wheels.time_s.size()) / wheels.time_s.back(), 83, 1);

  map.channels = {{.signal = Signal::kSpeed, .column = "speed_mps", .unit = "m/s"}};
  const Log body = read("wheel-speed-drive/speed.csv", map);
  ASSERT_EQ(body.time_s, wheels.time_s);
  StopRule rule;
  rule.deceleration_mps2 = 1;
  const std::vector<Stop> stops = stops_of(body, rule);
  ASSERT_EQ(stops.size(), 2u) << format_stops(body, stops);
  EXPECT_LE(stops[0].onset_s, 30.9);
  EXPECT_GE(stops[0].release_s, 30.9);
  EXPECT_NEAR(stops[0].peak_deceleration_mps2, 1.5, 0.3);
  EXPECT_GT(stops[1].peak_deceleration_mps2, stops[0].peak_deceleration_mps2);
  EXPECT_EQ(stops[1].release_s, body.time_s.back()) << "cut off by the end of the log";

  // Resampled to an even 100 Hz, all four wheels stay close to the body: no burst tears them apart.
  const size_t count = static_cast<size_t>(body.time_s.back() / 0.01);
  const std::vector<double> speed = resample(body, Signal::kSpeed, 0, 0.01, count);
  for (Signal s : {Signal::kWheelSpeedFrontLeft, Signal::kWheelSpeedFrontRight, Signal::kWheelSpeedRearLeft,
                   Signal::kWheelSpeedRearRight}) {
    const std::vector<double> wheel = resample(wheels, s, 0, 0.01, count);
    double sum = 0;
    for (size_t k = 0; k < count; ++k) sum += std::fabs(wheel[k] - speed[k]);
    EXPECT_LT(sum / static_cast<double>(count), 0.5) << name(s);
  }
}

// The same folder's accelerometer, 100 Hz on its own clock: a sign or unit mistaken would show as a slope of
// -1, 0.1 or 10 against deceleration from speed. Road slope, pitch and noise keep it from being 1.
TEST_F(RealLogs, WheelSpeedDriveAccelerometerFollowsSpeed) {
  ChannelMap map;
  map.time_column = "t_s";
  map.channels = {
      {.signal = Signal::kDeceleration, .column = "acc_forward_mps2", .unit = "m/s^2", .scale = -1}};
  const Log inertial = read("wheel-speed-drive/imu_accelerometer.csv", map);
  map.channels = {{.signal = Signal::kSpeed, .column = "speed_mps", .unit = "m/s"}};
  Log body = read("wheel-speed-drive/speed.csv", map);
  ASSERT_FALSE(inertial.time_s.empty());
  ASSERT_FALSE(body.time_s.empty());
  body.signals[static_cast<size_t>(Signal::kDeceleration)] = deceleration_mps2(body);

  constexpr size_t kCount = 5900;
  const double start_s = body.first_time - inertial.first_time;
  const std::vector<double> x = resample(body, Signal::kDeceleration, 0, 0.01, kCount);
  const std::vector<double> y = resample(inertial, Signal::kDeceleration, start_s, 0.01, kCount);
  double mean_x = 0;
  double mean_y = 0;
  for (size_t k = 0; k < kCount; ++k) {
    mean_x += x[k] / kCount;
    mean_y += y[k] / kCount;
  }
  double xy = 0;
  double xx = 0;
  for (size_t k = 0; k < kCount; ++k) {
    xy += (x[k] - mean_x) * (y[k] - mean_y);
    xx += (x[k] - mean_x) * (x[k] - mean_x);
  }
  EXPECT_GT(xy / xx, 0.5);
  EXPECT_LT(xy / xx, 1.5);
}

}  // namespace
}  // namespace brakeward::recording
