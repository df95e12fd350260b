#include "generator/logger.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <string_view>
#include <vector>

#include "math/filter.h"
#include "math/random.h"
#include "signal/observables.h"

namespace brakeward::generator {
namespace {

constexpr int kTickHz = 1000;
constexpr double kGravity = 9.80665;
constexpr double kAccelerometerHz = 30;
constexpr double kPi = 3.14159265358979323846;

// One column: where it comes from, what the logger does to it. Column = scale x observable.
struct Column {
  std::string_view header;
  std::string_view observable;
  double scale;
  int delay_ms;  // the sample is this old when it is logged
  double noise;  // standard deviation, column's unit
  double step;   // quantization, column's unit
  int decimals;
};

constexpr Column kColumns[] = {
    {"HAND_MM", "hand_travel", 1, 0, 0.012, 0.02, 2},
    {"PEDAL_N", "pedal_force", 1, 0, 0.8, 0.5, 1},
    {"P_FRONT_BAR", "pressure_front", 1, 4, 0.15, 0.1, 1},
    {"P_REAR_BAR", "pressure_rear", 1, 4, 0.15, 0.1, 1},
    {"V_KMH", "speed", 3.6, 10, 0.03, 0.05, 2},
    {"AX_G", "deceleration", -1 / kGravity, 0, 0.03, 0.002, 3},
    {"T_DISC_F_C", "disc_front_left", 1, 0, 0.4, 0.5, 1},
    {"T_DISC_R_C", "disc_rear_left", 1, 0, 0.4, 0.5, 1},
};
constexpr size_t kCount = std::size(kColumns);

std::vector<double> truth(const replay::Trace& trace, const Column& column) {
  std::vector<double> y(static_cast<size_t>(trace.ticks));
  const size_t at = signal::column_of(column.observable);
  for (size_t i = 0; i < y.size(); ++i) y[i] = column.scale * trace.rows[i * signal::kObservableCount + at];
  return y;
}

// The accelerometer's own first-order low-pass.
void filter(std::vector<double>& y) {
  const double c = math::low_pass_coefficient(1 / (2 * kPi * kAccelerometerHz), 1.0 / kTickHz);
  double out = y.empty() ? 0 : y.front();
  for (double& x : y) x = out += c * (x - out);
}

void append(std::string& csv, double value, int decimals) {
  std::array<char, 32> text;
  const double printed = value == 0 ? 0 : value;  // no "-0"
  const int length = std::snprintf(text.data(), text.size(), "%.*f", decimals, printed);
  csv.append(text.data(), static_cast<size_t>(length));
}

}  // namespace

std::string log_drive(const Drive& drive, const replay::Trace& trace) {
  std::array<std::vector<double>, kCount> columns;
  std::vector<math::Random> noise;
  std::string csv = "T_MS";
  for (size_t c = 0; c < kCount; ++c) {
    columns[c] = truth(trace, kColumns[c]);
    if (kColumns[c].header == "AX_G") {
      for (double& x : columns[c]) x += drive.logged_grade_g;
      filter(columns[c]);
    }
    noise.emplace_back(
        math::seed_from("logger/" + std::string(drive.name) + "/" + std::string(kColumns[c].header)));
    csv.append(";").append(kColumns[c].header);
  }
  csv += '\n';
  const long every = kTickHz / drive.rate_hz;
  for (long tick = 0; tick < trace.ticks; tick += every) {
    append(csv, static_cast<double>(tick) * 1e3 / kTickHz, 0);
    for (size_t c = 0; c < kCount; ++c) {
      const Column& column = kColumns[c];
      const long from = std::max(0L, tick - column.delay_ms * kTickHz / 1000);
      const double noisy = columns[c][static_cast<size_t>(from)] + column.noise * noise[c].normal();
      csv += ';';
      append(csv, std::nearbyint(noisy / column.step) * column.step, column.decimals);
    }
    csv += '\n';
  }
  return csv;
}

}  // namespace brakeward::generator
