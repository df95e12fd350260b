// Small logs and maps for the tests of the recording room; every number in them is invented.
#pragma once

#include <string>
#include <string_view>
#include <utility>

#include "absl/strings/str_format.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "recording/recording.h"

namespace brakeward::recording {

// time in s, v in km/h, p in bar.
inline ChannelMap small_map() {
  ChannelMap map;
  map.time_column = "time";
  map.channels = {{.signal = Signal::kSpeed, .column = "v", .unit = "km/h"},
                  {.signal = Signal::kFrontPressure, .column = "p", .unit = "bar"}};
  return map;
}

// Reads a log that must be good.
inline Log read(std::string_view text, const ChannelMap& map = small_map()) {
  absl::StatusOr<Log> log = parse_csv(text, "log.csv", map);
  EXPECT_TRUE(log.ok()) << log.status();
  return log.ok() ? *std::move(log) : Log();
}

// Reads a log that must be refused; its message.
inline std::string refusal(std::string_view text, const ChannelMap& map = small_map()) {
  const absl::StatusOr<Log> log = parse_csv(text, "log.csv", map);
  EXPECT_FALSE(log.ok());
  if (log.ok()) return "";
  EXPECT_EQ(log.status().code(), absl::StatusCode::kInvalidArgument);
  return std::string(log.status().message());
}

// All repairs, one a line.
inline std::string repairs(const Log& log) {
  std::string text;
  for (const Repair& repair : log.repairs) text += repair.text + "\n";
  return text;
}

// A car that brakes with constant deceleration from v0 at t0 to standstill; samples at k x step.
struct BrakedCar {
  double v0_mps = 100 / 3.6;
  double deceleration_mps2 = 8;
  double t0_s = 1;

  double speed_mps(double t) const {
    return t < t0_s ? v0_mps : std::max(0.0, v0_mps - deceleration_mps2 * (t - t0_s));
  }
  double braked(double t) const {
    return t >= t0_s && t < t0_s + v0_mps / deceleration_mps2 ? deceleration_mps2 : 0;
  }
};

}  // namespace brakeward::recording
