#include <array>

#include "absl/strings/str_format.h"
#include "recording/recording.h"
#include "recording/text.h"

namespace brakeward::recording {
namespace {

constexpr size_t kColumns = 11;
using Row = std::array<std::string, kColumns>;

constexpr std::array<std::string_view, kColumns> kNames = {"stop",  "start", "onset",        "release",
                                                           "entry", "exit",  "drop",         "distance",
                                                           "peak",  "mean",  "peak pressure"};
constexpr std::array<std::string_view, kColumns> kUnitsShown = {"",     "s", "s",     "s",     "km/h", "km/h",
                                                                "km/h", "m", "m/s^2", "m/s^2", "bar"};

// Fixed decimals without a sign on zero.
std::string fixed(double x, int decimals) {
  std::string text = absl::StrFormat("%.*f", decimals, x);
  if (text.front() == '-' && text.find_first_not_of("-0.") == std::string::npos) text.erase(0, 1);
  return text;
}

Row row(size_t number, const Stop& stop, bool has_pressure) {
  constexpr double kKphPerMps = 3.6;
  constexpr double kPaPerBar = 1e5;
  return {joined(number),
          fixed(stop.start_s, 2),
          fixed(stop.onset_s, 2),
          fixed(stop.release_s, 2),
          fixed(stop.entry_speed_mps * kKphPerMps, 1),
          fixed(stop.exit_speed_mps * kKphPerMps, 1),
          fixed((stop.entry_speed_mps - stop.exit_speed_mps) * kKphPerMps, 1),
          fixed(stop.distance_m, 1),
          fixed(stop.peak_deceleration_mps2, 2),
          fixed(stop.mean_deceleration_mps2, 2),
          has_pressure ? fixed(stop.peak_pressure_pa / kPaPerBar, 1) : "-"};
}

}  // namespace

std::string format_stops(const Log& log, const std::vector<Stop>& stops) {
  const bool has_pressure = log.has(Signal::kFrontPressure) || log.has(Signal::kRearPressure);
  std::vector<Row> rows(2);
  for (size_t c = 0; c < kColumns; ++c) {
    rows[0][c] = kNames[c];
    rows[1][c] = kUnitsShown[c];
  }
  for (size_t i = 0; i < stops.size(); ++i) rows.push_back(row(i + 1, stops[i], has_pressure));

  std::array<size_t, kColumns> widths = {};
  for (const Row& cells : rows) {
    for (size_t c = 0; c < kColumns; ++c) widths[c] = std::max(widths[c], cells[c].size());
  }
  std::string text;
  for (const Row& cells : rows) {
    for (size_t c = 0; c < kColumns; ++c) {
      text += joined(c == 0 ? "" : "  ", std::string(widths[c] - cells[c].size(), ' '), cells[c]);
    }
    text += '\n';
  }
  if (!log.has(Signal::kDeceleration)) {
    text += joined("Deceleration was not logged: it is the centred difference of speed over ",
                   absl::StrFormat("%g", kDecelerationWindow_s), " s.\n");
  }
  return text;
}

}  // namespace brakeward::recording
