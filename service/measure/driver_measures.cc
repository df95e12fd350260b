#include "measure/driver_measures.h"

#include <cmath>

#include "measure/collector.h"
#include "measure/feel.h"

namespace brakeward::measure {
namespace {

using Named = std::pair<std::string_view, MeasureValue>;

constexpr double kMilli = 1e-3;

void add_effort(const DriverFolds<double>& f, const MeasureContext& c, std::vector<Named>& out) {
  const double unit = c.by_pedal ? 1 : kMilli;
  const double mean = f.effort_ticks > 0 ? f.effort_sum / f.effort_ticks : 0;
  const double values[] = {f.peak_effort / unit, mean / unit, f.effort_sum * c.tick_s / unit};
  constexpr std::string_view kHand[] = {"hand_peak_effort", "hand_mean_effort", "hand_accumulated_effort"};
  constexpr std::string_view kPedal[] = {"pedal_peak_effort", "pedal_mean_effort",
                                         "pedal_accumulated_effort"};
  for (int i = 0; i < 3; ++i) {
    const MeasureValue value =
        c.follows ? measured(values[i]) : not_applicable("the driver's request is replayed as it is");
    const auto other = not_applicable(c.follows ? "the driver brakes by the other control" : value.reason);
    out.emplace_back(kHand[i], c.by_pedal ? other : value);
    out.emplace_back(kPedal[i], c.by_pedal ? value : other);
  }
}

void add_errors(const DriverFolds<double>& f, const MeasureContext& c, std::vector<Named>& out) {
  const bool compared = f.error_ticks > 0;
  const auto reason = not_applicable(c.follows ? "the followed speed is never above 1 m/s while he brakes"
                                               : "the driver's request is replayed as it is");
  out.emplace_back("driver_speed_error",
                   compared ? measured(std::sqrt(f.error_square / f.error_ticks)) : reason);
  out.emplace_back("driver_peak_speed_error", compared ? measured(f.peak_error) : reason);
}

void add_feel(const FeelFolds<double>& f, const MeasureContext& c, std::vector<Named>& out) {
  constexpr std::string_view kHand[] = {"feel_hand_threshold", "feel_hand_effort", "feel_hand_hysteresis",
                                        "feel_hand_gain"};
  constexpr std::string_view kPedal[] = {"feel_pedal_threshold", "feel_pedal_effort", "feel_pedal_hysteresis",
                                         "feel_pedal_gain"};
  const auto put = [&](const MeasureValue(&values)[4], const MeasureValue& linearity) {
    const auto other =
        not_applicable(c.feel_step_mps2 > 0 ? "feel is read of the other control" : "feel is not read here");
    for (int i = 0; i < 4; ++i) {
      out.emplace_back(kHand[i], c.by_pedal ? other : values[i]);
      out.emplace_back(kPedal[i], c.by_pedal ? values[i] : other);
    }
    out.emplace_back("feel_linearity", linearity);
  };
  if (c.feel_step_mps2 <= 0 || !is_whole(f)) {
    const MeasureValue value =
        c.feel_step_mps2 <= 0 ? not_applicable("feel is not read here") : never(kNotWhole);
    return put({value, value, value, value}, value);
  }
  const FeelCurve curve = feel_curve(f, c.feel_step_mps2);
  const double unit = c.by_pedal ? 1 : kMilli;
  put({measured(curve.threshold / unit), measured(curve.effort / unit), measured(curve.hysteresis / unit),
       measured(curve.gain * unit)},
      measured(curve.linearity * 100));
}

}  // namespace

std::vector<Named> driver_measures(const Folds<double>& folds, const MeasureContext& context) {
  std::vector<Named> out;
  add_errors(folds.driver, context, out);
  add_effort(folds.driver, context, out);
  add_feel(folds.feel, context, out);
  return out;
}

}  // namespace brakeward::measure
