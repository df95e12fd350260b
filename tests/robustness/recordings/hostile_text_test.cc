// Whatever bytes come in: a whole log or a clear error, never a crash. All texts are made from fixed seeds.
#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

#include "absl/strings/str_format.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "recording/recording.h"

namespace brakeward::recording {
namespace {

ChannelMap map_of_all_kinds() {
  ChannelMap map;
  map.time_column = "t";
  map.channels = {{.signal = Signal::kSpeed, .column = "v", .unit = "km/h"},
                  {.signal = Signal::kFrontPressure,
                   .column = "p",
                   .unit = "bar",
                   .scale = 1,
                   .offset = 0.3,
                   .delay_s = 0.02},
                  {.signal = Signal::kFrontDiscTemperature, .column = "disc", .unit = "degF"}};
  return map;
}

std::string good_text(char delimiter, bool decimal_comma, bool carriage_return) {
  std::string text = "t,v,p,disc,note\n";
  for (int i = 0; i < 30; ++i) {
    text += absl::StrFormat("%.2f,%.1f,%.2f,%d,\"n %d\"\n", i * 0.02, 120 - 2.5 * i, i < 5 ? 0.1 : 22.5,
                            400 + i, i);
  }
  std::string result;
  for (char c : text) {
    if (c == '\n' && carriage_return) result += '\r';
    result += c == ',' ? delimiter : c == '.' && decimal_comma ? ',' : c;
  }
  return result;
}

std::vector<std::string> good_texts() {
  return {good_text(',', false, false), good_text(';', true, true), good_text('\t', true, false),
          "\xEF\xBB\xBF" + good_text(';', false, true)};
}

void expect_whole(const Log& log) {
  ASSERT_GE(log.time_s.size(), 2u);
  EXPECT_EQ(log.time_s[0], 0);
  for (size_t i = 1; i < log.time_s.size(); ++i) ASSERT_GT(log.time_s[i], log.time_s[i - 1]);
  for (Signal s : {Signal::kSpeed, Signal::kFrontPressure, Signal::kFrontDiscTemperature}) {
    ASSERT_EQ(log[s].size(), log.time_s.size());
    for (double x : log[s]) ASSERT_TRUE(std::isfinite(x)) << name(s);
  }
  StopRule rule;
  rule.deceleration_mps2 = 1;
  rule.pressure_pa = 2e5;
  const absl::StatusOr<std::vector<Stop>> stops = find_stops(log, rule);
  ASSERT_TRUE(stops.ok()) << stops.status();
  for (const Stop& stop : *stops) {
    EXPECT_LE(stop.start_s, stop.onset_s);
    EXPECT_LT(stop.onset_s, stop.release_s);
    EXPECT_LE(stop.release_s, stop.end_s);
    EXPECT_TRUE(std::isfinite(stop.mean_deceleration_mps2) && std::isfinite(stop.distance_m));
  }
}

void expect_clear(const absl::Status& status) {
  EXPECT_EQ(status.code(), absl::StatusCode::kInvalidArgument);
  const std::string message(status.message());
  EXPECT_LE(std::count(message.begin(), message.end(), '\n'), 20);
  EXPECT_LT(message.size(), 20000u);
  EXPECT_THAT(message, ::testing::StartsWith("log.csv: "));
  for (size_t i = message.find('\n'); i != std::string::npos; i = message.find('\n', i + 1)) {
    EXPECT_EQ(message.compare(i + 1, 9, "log.csv: "), 0) << message;
  }
  EXPECT_TRUE(std::all_of(message.begin(), message.end(), [](char c) {
    const unsigned char byte = static_cast<unsigned char>(c);
    return byte >= 0x20 || byte == '\n';
  })) << message;
}

// True when the text was read.
bool good_or_clear(const std::string& text) {
  const absl::StatusOr<Log> log = parse_csv(text, "log.csv", map_of_all_kinds());
  if (log.ok()) {
    expect_whole(*log);
  } else {
    expect_clear(log.status());
  }
  if (::testing::Test::HasFailure()) ADD_FAILURE() << "text:\n" << text;
  return log.ok();
}

#define STOP_AT_FIRST_FAILURE() \
  if (HasFailure()) return

TEST(HostileText, TheGoodTextsAreGood) {
  for (const std::string& text : good_texts()) EXPECT_TRUE(good_or_clear(text));
}

TEST(HostileText, TruncationAtEveryByte) {
  for (const std::string& text : good_texts()) {
    for (size_t length = 0; length < text.size(); ++length) {
      good_or_clear(text.substr(0, length));
      STOP_AT_FIRST_FAILURE();
    }
  }
}

TEST(HostileText, TruncationInsideARowIsToldAndAtItsEndReported) {
  const std::string text = good_text(',', false, false);
  const size_t fourth_sample = text.find("0.06,");  // the delay needs a log longer than itself
  for (size_t length = fourth_sample; length < text.size(); ++length) {
    const absl::StatusOr<Log> log = parse_csv(text.substr(0, length), "log.csv", map_of_all_kinds());
    const bool row_complete = text[length - 1] == '\n' || text[length] == '\n';
    const bool only_note_lost = text[length] == '"' && text[length - 1] == ',';
    EXPECT_EQ(log.ok(), row_complete || only_note_lost) << text.substr(0, length);
    if (!log.ok()) continue;
    const bool told = std::any_of(log->repairs.begin(), log->repairs.end(), [](const Repair& repair) {
      return repair.text.find("has no line end") != std::string::npos;
    });
    EXPECT_EQ(told, text[length - 1] != '\n') << text.substr(0, length);
  }
}

TEST(HostileText, EveryByteOfAGoodTextReplaced) {
  constexpr std::string_view kBytes("\0\n\r\t\",;.-+#e9 x\x80\xFF", 17);
  for (const std::string& text : good_texts()) {
    for (size_t i = 0; i < text.size(); ++i) {
      std::string changed = text;
      changed[i] = kBytes[i % kBytes.size()];
      good_or_clear(changed);
      STOP_AT_FIRST_FAILURE();
    }
  }
}

TEST(HostileText, RandomBytes) {
  std::mt19937_64 random(20240131);
  for (int round = 0; round < 3000; ++round) {
    std::string text(random() % 400, '\0');
    // Every third text without zero bytes and every third from bytes that csv files are made of.
    constexpr std::string_view kCommon = "0123456789.,;-+e\t\n\r\"# tvp";
    for (char& c : text) {
      const uint64_t bits = random();
      c = round % 3 == 0   ? static_cast<char>(bits)
          : round % 3 == 1 ? static_cast<char>(1 + bits % 255)
                           : kCommon[bits % kCommon.size()];
    }
    good_or_clear(text);
    good_or_clear("t,v,p,disc\n" + text);
    STOP_AT_FIRST_FAILURE();
  }
}

TEST(HostileText, MutatedCells) {
  const std::vector<std::string> cells = {
      "",      "nan",      "NaN",  "inf",  "-Infinity", "1e308",  "-1e308",   "1e-320", "1e999",    "0x1p3",
      "1,5",   "1.5",      "--1",  "+-1",  "+",         "-",      "1e",       ".",      ",",        "\"\"",
      "\"1\"", "\"1",      "1\"2", "n/a",  "999999",    "-99999", "1 2",      "#",      "# remark", "1;2",
      "\t",    "\xC2\xB0", "1e5",  "TRUE", "0.04",      "0.02",   "infinity", "nan(1)", "1_000",    "'1'"};
  std::mt19937_64 random(7);
  size_t read = 0;
  for (int round = 0; round < 20000; ++round) {
    std::string text = "t,v,p,disc\n";
    const uint64_t changes = random() % 4;
    for (int i = 0; i < 12; ++i) {
      std::string row[] = {absl::StrFormat("%.2f", i * 0.02), "100", "3.5", "300"};
      if (random() % 12 < changes) row[random() % 4] = cells[random() % cells.size()];
      text += row[0] + "," + row[1] + "," + row[2] + "," + row[3] + "\n";
    }
    read += good_or_clear(text) ? 1 : 0;
    STOP_AT_FIRST_FAILURE();
  }
  EXPECT_GT(read, 1000u) << "the mutations leave good texts too";
  EXPECT_LT(read, 19000u) << "and bad ones";
}

TEST(HostileText, ManyFaultsStayAShortMessage) {
  std::string text = "t,v,p,disc\n";
  for (int i = 0; i < 100000; ++i) text += "x,1,y,z\n";
  const absl::StatusOr<Log> log = parse_csv(text, "log.csv", map_of_all_kinds());
  expect_clear(log.status());
  EXPECT_THAT(std::string(log.status().message()), ::testing::HasSubstr("log.csv: and 299980 more"));
}

TEST(HostileText, LongLinesAndManyColumns) {
  good_or_clear(std::string(1 << 20, ','));
  good_or_clear(std::string(1 << 20, '"'));
  good_or_clear("t,v,p,disc\n" + std::string(1 << 20, '9') + ",1,2,3\n");
  good_or_clear(std::string(1 << 20, 'a') + "\n" + std::string(1 << 20, 'b'));
}

TEST(HostileText, HostileMaps) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double numbers[] = {0,   -1, 1e-300, 1e300, -1e300, nan, std::numeric_limits<double>::infinity(),
                            0.1, 1};
  const char* texts[] = {"",  "t", "v",  "p", "disc", "bar",  "km/h", "\"",
                         ",", ";", "\t", "s", "ms",   "\xFF", "m/s"};
  std::mt19937_64 random(99);
  const auto number = [&] { return numbers[random() % std::size(numbers)]; };
  const auto word = [&] { return std::string(texts[random() % std::size(texts)]); };
  for (int round = 0; round < 20000; ++round) {
    ChannelMap map = map_of_all_kinds();
    if (random() % 4 == 0) map.time_column = word();
    if (random() % 4 == 0) map.time_unit = word();
    if (random() % 4 == 0) map.delimiter = word();
    if (random() % 4 == 0) map.header_prefix = word();
    if (random() % 4 == 0) map.longest_gap_s = number();
    for (Channel& channel : map.channels) {
      if (random() % 4 == 0) channel.signal = static_cast<Signal>(random() % 17);
      if (random() % 4 == 0) channel.column = word();
      if (random() % 4 == 0) channel.unit = word();
      if (random() % 4 == 0) channel.scale = number();
      if (random() % 4 == 0) channel.offset = number();
      if (random() % 4 == 0) channel.delay_s = number();
    }
    const absl::StatusOr<Log> log = parse_csv(good_text(',', false, false), "log.csv", map);
    if (!log.ok()) expect_clear(log.status());
    if (log.ok()) {
      for (const auto& signal : log->signals) {
        for (double x : signal) ASSERT_TRUE(std::isfinite(x));
      }
    }
    STOP_AT_FIRST_FAILURE();
  }
}

}  // namespace
}  // namespace brakeward::recording
