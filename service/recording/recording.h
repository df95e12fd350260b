// Logs in: a CSV file and a channel map become uniformly named, SI-unit signals with a report of every
// repair.
#pragma once

#include <array>
#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"

namespace brakeward::recording {

// Signals a log can carry, with the unit they have after reading.
enum class Signal {
  kHandTravel,           // m
  kPedalForce,           // N
  kFrontPressure,        // Pa
  kRearPressure,         // Pa
  kSpeed,                // m/s
  kDeceleration,         // m/s^2, positive when slowing
  kLateralAcceleration,  // m/s^2, positive to the left
  kWheelSpeedFrontLeft,  // m/s
  kWheelSpeedFrontRight,
  kWheelSpeedRearLeft,
  kWheelSpeedRearRight,
  kFrontDiscTemperature,  // degC
  kRearDiscTemperature,   // degC
  kAccelerator,           // 1 (0 to 1)
  kSteeringAngle,         // rad, positive to the left
  kCount
};

std::string_view name(Signal s);       // "hand_travel", ...
std::string_view base_unit(Signal s);  // unit after reading

// One channel: signal = convert((column + offset) x scale) from the column's unit, moved earlier by delay_s.
struct Channel {
  Signal signal;
  std::string column;
  std::string unit;
  double scale = 1;
  double offset = 0;
  double delay_s = 0;
};

struct ChannelMap {
  std::string time_column;
  std::string time_unit = "s";  // s, ms, us, ns
  std::string delimiter;        // one character, or empty to find out
  std::string header_prefix;    // dropped from the header line
  double longest_gap_s = 0.2;
  std::vector<Channel> channels;
};

// A repair that was made, in words with file, line and column.
struct Repair {
  std::string text;
};

// Signals on the log's own, strictly rising time base (s, from the first sample).
struct Log {
  std::string file;
  double first_time = 0;  // the log's own clock at t = 0, s
  std::vector<double> time_s;
  std::array<std::vector<double>, static_cast<size_t>(Signal::kCount)> signals;  // empty when not logged
  std::vector<Repair> repairs;

  bool has(Signal s) const { return !signals[static_cast<size_t>(s)].empty(); }
  const std::vector<double>& operator[](Signal s) const { return signals[static_cast<size_t>(s)]; }
};

// A larger file is refused.
inline constexpr size_t kLargestFileBytes = size_t{1} << 30;

// Reads a log. Errors (InvalidArgument, NotFound) name file, line, column; all faults of the file are counted
// and the first 20 told. Numbers are read the same way in every locale.
//
// Documented repairs, each reported:
//   - byte order mark dropped, CRLF accepted, blank lines between samples skipped, a delimiter after the last
//   cell of a
//     row accepted;
//   - a last line without a line end read, as it may have been cut inside its last number;
//   - decimal commas read where the delimiter is not a comma;
//   - rows that repeat the time stamp before them dropped (the first stays);
//   - missing cells (empty, nan, n/a, na, null, none, -) bridged linearly, held at the ends: a single one
//   always, a run
//     up to longest_gap_s;
//   - longer steps in time up to longest_gap_s left to linear interpolation; uneven steps kept as written;
//   - a channel with a delay moved earlier: interpolated on the log's time base, its last delay_s held.
//
// Faults, beside cells that are no finite number and rows of another length than the header: time that runs
// back, a step longer than longest_gap_s, a median step below 0.1 ms (wrong time unit), a value outside the
// plausible range of its signal (wrong unit), a column mapped twice or standing in the header twice, rows of
// units or remarks.
absl::StatusOr<Log> read_csv(const std::filesystem::path& file, const ChannelMap& map);
// The same from text; `file` is used in messages only.
absl::StatusOr<Log> parse_csv(std::string_view text, std::string_view file, const ChannelMap& map);

// Linear interpolation of one signal at times start_s + k x step_s, k = 0 .. count-1, held outside the log
// and exact at its samples. Empty when the signal was not logged.
std::vector<double> resample(const Log& log, Signal s, double start_s, double step_s, size_t count);

// Width of the centred difference that takes deceleration from speed.
inline constexpr double kDecelerationWindow_s = 0.4;

// Deceleration in m/s^2 at the log's samples: as logged, else (v(t - w/2) - v(t + w/2)) / w from speed,
// linear between samples, w = kDecelerationWindow_s; at the ends of the log the window is cut to what lies
// inside. Empty without both.
std::vector<double> deceleration_mps2(const Log& log);

// Thresholds that find stops. A stop begins when any set threshold is exceeded and ends when none is;
// pressure is the larger of the circuits logged.
struct StopRule {
  std::optional<double> deceleration_mps2;  // of deceleration_mps2(log): from speed where it was not logged
  std::optional<double> pressure_pa;
  std::optional<double> pedal_n;
  std::optional<double> hand_m;
  double merge_s = 0.2;              // closer ones are joined, before short ones are dropped
  double shortest_s = 0.3;           // shorter ones are dropped
  double least_entry_speed_mps = 1;  // slower ones are dropped: a brake held at standstill is no stop
  double padding_s = 1.0;            // added at both ends, within the log
};

struct Stop {
  double start_s = 0;  // with padding, log time
  double end_s = 0;
  double onset_s = 0;    // where the threshold was crossed, between samples
  double release_s = 0;  // where it was left
  double entry_speed_mps = 0;
  double exit_speed_mps = 0;
  double peak_deceleration_mps2 = 0;
  double mean_deceleration_mps2 =
      0;                        // over distance: (entry^2 - exit^2) / (2 x distance); 0 without distance
  double peak_pressure_pa = 0;  // 0 when no pressure was logged
  double distance_m = 0;        // from onset to release, trapezoids over speed
};

// Cuts a log into stops. InvalidArgument when a threshold's signal, or speed, was not logged, none is set, or
// a number of the rule cannot be used; all faults at once.
absl::StatusOr<std::vector<Stop>> find_stops(const Log& log, const StopRule& rule);

// The stops as an aligned text table, one a line under two header lines, then a line that says so when
// deceleration was taken from speed. Fixed decimals, the same in every locale.
std::string format_stops(const Log& log, const std::vector<Stop>& stops);

}  // namespace brakeward::recording
