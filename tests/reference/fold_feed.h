// The folds fed with signals made by hand. Include after defining BRAKEWARD_ISA in one test source.
#pragma once

#include <algorithm>
#include <string_view>
#include <vector>

#include "measure/folds.inl.h"
#include "measure/measures.h"

namespace brakeward::reference {
inline namespace BRAKEWARD_ISA {

// Onset at time 0 at `speed`; tick n stands for time n x tick_s.
struct FoldFeed {
  measure::FoldParams<double> params{};
  measure::Folds<double> folds{};
  measure::MeasureContext context{};
  signal::PlantSignals<double> plant{};
  signal::ControlSignals<double> control{};
  measure::TickReference<double> reference{0, measure::kNotRecorded, measure::kNotRecorded, 0};
  long tick = 0;

  FoldFeed(double speed, double tick_s) {
    measure::start(folds);
    folds.last_speed = folds.onset_speed = speed;
    std::fill_n(params.pressure_level, 4, 1e12);
    params.rolling_radius[0] = params.rolling_radius[1] = 0.3;
    params.marker_distance = 1e15;
    params.fault_start_tick = params.fault_end_tick = 1e15;
    context.tick_s = tick_s;
    plant.authority_margin = 1;
    for (double& omega : plant.wheel_speed) omega = 100;
    control.slip_factor[0] = control.slip_factor[1] = 1;
  }

  // Takes the signals as they stand for the next tick.
  void feed() {
    ++tick;
    measure::fold(params, double(tick), 0.5 / context.tick_s, context.motors, reference, plant, control,
                  folds);
  }
  void feed_motion(double speed, double distance) {
    plant.deceleration = (folds.last_speed - speed) / context.tick_s;
    plant.speed = speed;
    plant.distance = distance;
    feed();
  }
  double time_of_next() const { return double(tick + 1) * context.tick_s; }

  measure::MeasureValue measure_named(std::string_view name) const {
    return measure::make_measures(folds, context)[static_cast<size_t>(measure::find_measure(name).value())];
  }
  double value(std::string_view name) const { return measure_named(name).value; }
};

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::reference
