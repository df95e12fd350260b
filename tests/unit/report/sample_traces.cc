#include "unit/report/sample_traces.h"

#include <gtest/gtest.h>

#include <cmath>

#include "signal/observables.h"

namespace brakeward::report {
namespace {

constexpr double kTick_s = 0.001;
constexpr double kDemand_bar = 40;

}  // namespace

std::vector<double> stop_rows(double seconds, double lag_s) {
  std::vector<double> rows;
  double speed = 25;
  for (int tick = 1; tick <= std::lround(seconds / kTick_s); ++tick) {
    const double t = tick * kTick_s;
    const bool on = t >= 0.5;
    const double pressure = on ? kDemand_bar * (1 - std::exp(-(t - 0.5) / lag_s)) : 0;
    speed -= kTick_s * pressure * 0.2;
    std::vector<double> row(signal::kObservableCount, 0.0);
    const auto set = [&](std::string_view name, double value) { row[signal::column_of(name)] = value; };
    set("time", t);
    set("hand_travel", on ? 20 : 0);
    set("reference_pressure_front", on ? kDemand_bar : 0);
    set("target_front", on ? kDemand_bar : 0);
    set("pressure_front", pressure);
    set("pressure_rear", 0.6 * pressure);
    set("speed", speed);
    set("deceleration", pressure * 0.2);
    for (const char* wheel : {"front_left", "front_right", "rear_left", "rear_right"})
      set(std::string("brake_slip_") + wheel, pressure * 0.001);
    set("disc_front_left", 80 + 40 * t);
    set("disc_rear_left", 80 + 20 * t);
    set("fluid_front_left", 20 + 0.1 * t);
    set("fluid_rear_left", 20);
    set("slip_factor_front", 1);
    set("slip_factor_rear", 1);
    set("recorded_deceleration", t < 2 ? pressure * 0.19 : -1e30);
    set("recorded_pressure", -1e30);
    rows.insert(rows.end(), row.begin(), row.end());
  }
  return rows;
}

ScenarioTraces sample_traces(const std::string& scenario) {
  ScenarioTraces traces;
  traces.scenario = scenario;
  traces.tick_s = kTick_s;
  traces.candidate = stop_rows(3, 0.06);
  traces.baseline = stop_rows(2.5, 0.04);
  for (int tick = 1; tick <= 2000; ++tick) traces.recorded_speed_mps.push_back(25 - 0.002 * tick);
  traces.faults = {{"track open, hand a", 1.0, 1.5}};
  traces.response = ResponseLevels{{4, 25.2, 36}, {0.5, 0.5, 0.5}};
  return traces;
}

}  // namespace brakeward::report
