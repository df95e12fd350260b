// What must not change, must not change: logs made from seeded numbers, compared bit for bit.
#include <random>

#include "logs.h"

namespace brakeward::recording {
namespace {

struct Sample {
  double time;
  double speed_kph;
  double pressure_bar;
};

// A drive of snubs with uneven steps of whole 1/256 s, so that a shift of whole seconds rounds nothing.
std::vector<Sample> drive(uint64_t seed) {
  std::mt19937_64 random(seed);
  std::vector<Sample> samples;
  double time = 0;
  double speed = 150;
  for (int i = 0; i < 2000; ++i) {
    const bool braking = (i / 150) % 2 == 1;
    const double noise = static_cast<double>(random() % 1000) / 1000;
    speed += braking ? -0.6 : 0.6;
    samples.push_back({time, speed + noise, braking ? 20 + noise : noise});
    time += static_cast<double>(1 + random() % 8) / 256;
  }
  return samples;
}

std::string csv(const std::vector<Sample>& samples, double shift_s, const char* more_names,
                const char* more_cells) {
  std::string text = absl::StrFormat("time,v,p%s\n", more_names);
  for (const Sample& s : samples) {
    text += absl::StrFormat("%.17g,%.3f,%.3f%s\n", s.time + shift_s, s.speed_kph, s.pressure_bar, more_cells);
  }
  return text;
}

std::vector<Stop> stops_of(const Log& log) {
  StopRule rule;
  rule.pressure_pa = 2e5;
  rule.deceleration_mps2 = 3;
  const absl::StatusOr<std::vector<Stop>> stops = find_stops(log, rule);
  EXPECT_TRUE(stops.ok()) << stops.status();
  return stops.ok() ? *stops : std::vector<Stop>();
}

void expect_same_log(const Log& a, const Log& b) {
  EXPECT_EQ(a.time_s, b.time_s);
  for (size_t s = 0; s < a.signals.size(); ++s)
    EXPECT_EQ(a.signals[s], b.signals[s]) << name(static_cast<Signal>(s));
  EXPECT_EQ(repairs(a), repairs(b));
  const std::string table = format_stops(a, stops_of(a));
  EXPECT_EQ(table, format_stops(b, stops_of(b)));
  EXPECT_GE(stops_of(a).size(), 5u);
}

class Property : public ::testing::TestWithParam<uint64_t> {};

TEST_P(Property, ShiftInTimeChangesNothing) {
  const std::vector<Sample> samples = drive(GetParam());
  const Log log = read(csv(samples, 0, "", ""));
  for (double shift_s : {-4096.0, 1.0, 86400.0, 1692117187.0}) {
    const Log shifted = read(csv(samples, shift_s, "", ""));
    EXPECT_EQ(shifted.first_time, shift_s);
    expect_same_log(log, shifted);
  }
}

TEST_P(Property, AnotherColumnChangesNothing) {
  const std::vector<Sample> samples = drive(GetParam());
  expect_same_log(read(csv(samples, 0, "", "")), read(csv(samples, 0, ",gear,note", ",4,\"a, b\"")));
}

TEST_P(Property, OrderOfChannelsInTheMapChangesNothing) {
  ChannelMap map = small_map();
  std::swap(map.channels[0], map.channels[1]);
  const std::string text = csv(drive(GetParam()), 0, "", "");
  expect_same_log(read(text), read(text, map));
}

TEST_P(Property, DelimiterQuotesAndLineEndsChangeNoNumber) {
  const std::string text = csv(drive(GetParam()), 0, "", "");
  std::string semicolons;
  std::string quotes;
  for (char c : text) {
    semicolons += c == ','    ? std::string(";")
                  : c == '.'  ? std::string(",")
                  : c == '\n' ? std::string("\r\n")
                              : std::string(1, c);
    quotes += c == ',' ? std::string("\",\"") : c == '\n' ? std::string("\"\n\"") : std::string(1, c);
  }
  quotes = "\"" + quotes.substr(0, quotes.size() - 1);
  const Log log = read(text);
  for (const Log& other : {read(semicolons), read(quotes)}) {
    EXPECT_EQ(log.time_s, other.time_s);
    EXPECT_EQ(log[Signal::kSpeed], other[Signal::kSpeed]);
    EXPECT_EQ(log[Signal::kFrontPressure], other[Signal::kFrontPressure]);
  }
}

TEST_P(Property, ResamplingTheSamplesTwiceIsTheSameAsOnce) {
  const Log log = read(csv(drive(GetParam()), 0, "", ""));
  const size_t count = 4000;
  const std::vector<double> once = resample(log, Signal::kSpeed, 0, 1.0 / 256, count);
  Log again;
  for (size_t k = 0; k < count; ++k) again.time_s.push_back(static_cast<double>(k) / 256);
  again.signals[static_cast<size_t>(Signal::kSpeed)] = once;
  EXPECT_EQ(once, resample(again, Signal::kSpeed, 0, 1.0 / 256, count));
  // Every sample lies on the grid, so the resampled signal holds all of them unchanged.
  for (size_t i = 0; i < log.time_s.size() && log.time_s[i] * 256 < static_cast<double>(count); ++i) {
    ASSERT_EQ(once[static_cast<size_t>(log.time_s[i] * 256)], log[Signal::kSpeed][i]);
  }
}

INSTANTIATE_TEST_SUITE_P(Seeds, Property, ::testing::Values(1, 2, 3));

}  // namespace
}  // namespace brakeward::recording
