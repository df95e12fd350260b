#include "measure/measures.h"

#include <algorithm>
#include <cmath>

#include "measure/balance_measures.h"
#include "measure/collector.h"
#include "measure/driver_measures.h"
#include "measure/repeatability.h"

namespace brakeward::measure {
namespace {

constexpr double kBar = 1e5;
constexpr double kLeastFaultBraking = 0.3;  // s

double share_of_tick(const Crossing<double>& c, double level) {
  const double span = c.after - c.before;
  return span == 0 ? 1.0 : std::clamp((level - c.before) / span, 0.0, 1.0);
}

// Time of a crossing, interpolated between the two samples.
double time_of(const Crossing<double>& c, double level, double tick_s) {
  return (c.tick - 1.0 + share_of_tick(c, level)) * tick_s;
}

double distance_at(const Folds<double>& f, int i, double level) {
  const double share = share_of_tick(f.speed[i], level);
  return f.speed_distance_before[i] + share * (f.speed_distance_after[i] - f.speed_distance_before[i]);
}

void stop_measures(const Folds<double>& f, const MeasureContext& c, Collector& out) {
  constexpr std::string_view kStops[] = {"stopping_distance", "corrected_stopping_distance",
                                         "mean_fully_developed_deceleration", "stopping_time"};
  if (!c.ends_standing) {
    for (auto name : kStops) out.put(name, not_applicable("the scenario is not a stop"));
    return;
  }
  if (f.speed[2].tick < 0) {
    for (auto name : kStops) out.put(name, never("the car never came to a standstill"));
    return;
  }
  const double distance = distance_at(f, 2, kStandstill) - f.onset_distance;
  out.put("stopping_distance", measured(distance));
  const double ratio = c.nominal_speed_mps / f.onset_speed;
  out.put("corrected_stopping_distance", c.nominal_speed_mps > 0
                                             ? measured(distance * ratio * ratio)
                                             : not_applicable("no nominal speed is given"));
  const double vb = 0.8 * f.onset_speed, ve = 0.1 * f.onset_speed;
  const double span = distance_at(f, 1, ve) - distance_at(f, 0, vb);
  out.put("mean_fully_developed_deceleration", measured((vb * vb - ve * ve) / (2 * span)));
  out.put("stopping_time", measured(time_of(f.speed[2], kStandstill, c.tick_s) - c.onset_s));
}

void stretch_measures(const Folds<double>& f, const MeasureContext& c, Collector& out) {
  const bool stretch = !c.ends_standing;
  const auto reason = not_applicable("the scenario is a stop; see stopping_distance");
  out.put("braking_distance", stretch ? measured(f.braking_distance) : reason);
  out.put("speed_loss", stretch ? measured(f.braking_speed_loss) : reason);
}

// A car that stands before the marker passes it at no speed.
MeasureValue marker_speed(const Folds<double>& f, const MeasureContext& c) {
  if (c.marker_m <= 0) return not_applicable("the scenario sets no marker");
  if (f.marker.tick < 0)
    return f.speed[2].tick < 0 ? never("the replay ends before the marker") : measured(0);
  const double share = share_of_tick(f.marker, c.marker_m);
  return measured(f.marker_speed_before + share * (f.marker_speed_after - f.marker_speed_before));
}

void launch_measures(const Folds<double>& f, const MeasureContext& c, Collector& out) {
  const LaunchFolds<double>& l = f.launch;
  if (!c.holds || l.launched_tick < 0) {
    const auto none = not_applicable("the driver does not drive on from standstill");
    out.put("launch_release_time", none);
    out.put("launch_drag_work", none);
    return;
  }
  out.put("launch_release_time", l.released_tick < 0
                                     ? never("the brakes never let go")
                                     : measured((l.released_tick - l.launched_tick) * c.tick_s * 1e3));
  out.put("launch_drag_work", measured(l.drag * c.tick_s / 1e3));
}

void blend_measures(const Folds<double>& f, const MeasureContext& c, Collector& out) {
  const double square = std::max(f.blend.error_square[0], f.blend.error_square[1]);
  const auto none = not_applicable("the car has no motors to brake with");
  out.put("blend_error", !c.motors              ? none
                         : f.braking_ticks <= 0 ? not_applicable("the driver never asks for braking")
                                                : measured(std::sqrt(square / f.braking_ticks) / kBar));
  out.put("energy_recovered", c.motors ? measured(f.blend.recovered / 1e3) : none);
}

MeasureValue roll_away(const Folds<double>& f, const MeasureContext& c) {
  if (!c.holds) return not_applicable("the scenario holds no car at rest");
  return f.speed[2].tick < 0 ? never("the car never came to a standstill") : measured(f.roll_away);
}

MeasureValue delay(const Crossing<double>& crossing, double level, double reference_s, double tick_s) {
  if (reference_s < 0) return not_applicable("the request never asks for this level");
  if (crossing.tick < 0) return never("front pressure never reached the level");
  return measured((time_of(crossing, level, tick_s) - reference_s) * 1e3);
}

// From the reference demand at 90 % of its peak until front pressure keeps to its target.
MeasureValue settling_time(const Folds<double>& f, const MeasureContext& c) {
  if (c.rise_s[3] < 0) return not_applicable("the request never asks for this level");
  return measured(std::max(0.0, f.unsettled_tick * c.tick_s - c.rise_s[3]) * 1e3);
}

// From 10 % to 90 % of the reference's peak.
MeasureValue rise_rate(const Folds<double>& f, const MeasureContext& c) {
  if (c.rise_s[3] < 0) return not_applicable("the request never asks for this level");
  if (f.pressure_rise[1].tick < 0 || f.pressure_rise[3].tick < 0)
    return never("front pressure never reached the level");
  const double span = time_of(f.pressure_rise[3], c.level_pa[3], c.tick_s) -
                      time_of(f.pressure_rise[1], c.level_pa[1], c.tick_s);
  return span > 0 ? measured((c.level_pa[3] - c.level_pa[1]) / kBar / span)
                  : not_applicable("front pressure passes both levels at once");
}

void response_measures(const Folds<double>& f, const MeasureContext& c, Collector& out) {
  constexpr std::string_view kDelays[] = {"delay_first_pressure", "delay_10_percent", "delay_63_percent",
                                          "delay_90_percent"};
  for (int i = 0; i < 4; ++i)
    out.put(kDelays[i], delay(f.pressure_rise[i], c.level_pa[i], c.rise_s[i], c.tick_s));
  out.put("release_delay", delay(f.pressure_fall, c.level_pa[1], c.fall_s, c.tick_s));
  const bool asked = f.peak_target > 0;
  const auto silent = not_applicable("the controller never asked for pressure");
  out.put("pressure_overshoot", asked ? measured((f.peak_pressure / f.peak_target - 1) * 100) : silent);
  const auto unasked = not_applicable("the driver never asks for braking");
  const bool braked = f.braking_ticks > 0;
  out.put("tracking_error",
          braked ? measured(std::sqrt(f.tracking_square / f.braking_ticks) / kBar) : unasked);
  out.put("peak_tracking_error", braked ? measured(f.peak_tracking_error / kBar) : unasked);
  out.put("delay_first_deceleration",
          f.deceleration_rise.tick < 0
              ? never("the deceleration never rose by 0.5 m/s^2")
              : measured((time_of(f.deceleration_rise, kFirstDeceleration, c.tick_s) - c.rise_s[0]) * 1e3));
  out.put("rise_rate", rise_rate(f, c));
  out.put("settling_time", settling_time(f, c));
}

// A driver who follows answers to the car: what he asked for is not known beforehand.
void leave_to_driver(Collector& out) {
  for (std::string_view name :
       {"delay_first_pressure", "delay_10_percent", "delay_63_percent", "delay_90_percent", "release_delay",
        "tracking_error", "peak_tracking_error", "delay_first_deceleration", "rise_rate", "settling_time"})
    out.put(name, not_applicable("the driver follows a speed; his effort and his error are measured"));
}

void wheel_measures(const Folds<double>& f, const MeasureContext& c, Collector& out) {
  out.put("front_share", f.all_torque > 0 ? measured(f.front_torque / f.all_torque * 100)
                                          : not_applicable("nothing braked"));
  out.put("peak_slip_front", measured(f.peak_slip[0] * 100));
  out.put("peak_slip_rear", measured(f.peak_slip[1] * 100));
  out.put("locked_time_front", measured(f.locked_ticks[0] * c.tick_s * 1e3));
  out.put("locked_time_rear", measured(f.locked_ticks[1] * c.tick_s * 1e3));
  out.put("peak_disc_temperature_front", measured(f.peak_disc[0]));
  out.put("peak_disc_temperature_rear", measured(f.peak_disc[1]));
  out.put("peak_deceleration", measured(f.peak_deceleration));
  out.put("peak_jerk", measured(f.peak_jerk / c.tick_s));
}

void actuator_measures(const Folds<double>& f, const MeasureContext& c, Collector& out) {
  out.put("authority_margin", measured(f.least_authority * 100));
  out.put("flow_saturated_time", measured(f.saturated_ticks * c.tick_s * 1e3));
  out.put("slip_limit_time", measured(f.limiter_ticks * c.tick_s * 1e3));
  out.put("unrequested_pressure", measured(f.unrequested_pressure / kBar));
}

MeasureValue remaining_deceleration(const Folds<double>& f, const MeasureContext& c) {
  return f.fault_braking_ticks * c.tick_s < kLeastFaultBraking
             ? not_applicable("the driver hardly brakes during the fault")
             : measured(f.fault_deceleration);
}

void fault_measures(const Folds<double>& f, const MeasureContext& c, Collector& out) {
  for (auto name :
       {"fault_lost_distance", "fault_undetected_share", "fault_unrecovered_share", "fault_unstopped_share"})
    out.put(name, not_applicable("made by campaigns alone"));
  const auto put = [&](std::string_view name, MeasureValue value) {
    out.put(name, c.has_fault ? value : not_applicable("no fault in this scenario"));
  };
  const auto time = [&](double tick, double from_s, std::string_view missing) {
    return tick < 0 ? never(missing) : measured((tick * c.tick_s - from_s) * 1e3);
  };
  put("fault_detection_time",
      time(f.detection_tick, c.fault_start_s, "the controller never noticed the fault"));
  put("fault_recovery_time", time(f.recovery_tick, c.fault_end_s, "the controller never came back to ready"));
  put("fault_unbraked_time", measured(f.longest_unbraked_ticks * c.tick_s * 1e3));
  put("fault_unrequested_time", measured(f.longest_unrequested_ticks * c.tick_s * 1e3));
  put("fault_unrequested_deceleration", measured(f.unrequested_deceleration));
  const MeasureValue remaining = remaining_deceleration(f, c);
  put("fault_hand_deceleration", c.by_pedal ? not_applicable("the driver brakes by the pedal") : remaining);
  put("fault_pedal_deceleration", c.by_pedal ? remaining : not_applicable("the driver brakes by hand"));
  put("fault_return_jump", measured(f.return_jump / kBar));
}

}  // namespace

std::vector<MeasureValue> make_measures(const Folds<double>& folds, const MeasureContext& context) {
  Collector out("not made by this replay");
  for (const MeasureInfo& info : catalogue())
    if (info.name.starts_with("stint_") || info.name.starts_with("change_over_"))
      out.put(info.name, not_applicable("made by stints alone"));
  stop_measures(folds, context, out);
  stretch_measures(folds, context, out);
  wheel_measures(folds, context, out);
  balance_measures(folds, context, out);
  out.put("marker_speed", marker_speed(folds, context));
  out.put("roll_away_distance", roll_away(folds, context));
  launch_measures(folds, context, out);
  blend_measures(folds, context, out);
  for (const auto& [name, value] : driver_measures(folds, context)) out.put(name, value);
  out.put("feel_pedal_distance", not_applicable("no pedal reference is replayed beside it"));
  for (const RepeatabilityMeasure& m : repeatability_measures({})) out.put(m.name, m.value);
  if (context.pressure_entry) {
    const auto bypassed = not_applicable("recorded pressure bypasses the controller");
    for (const MeasureInfo& info : catalogue())
      if (info.point == ChainPoint::kRequest || info.name.find("delay") != info.name.npos ||
          info.name.starts_with("fault_"))
        out.put(info.name, bypassed);
    for (std::string_view name :
         {"pressure_overshoot", "tracking_error", "peak_tracking_error", "rise_rate", "settling_time",
          "authority_margin", "flow_saturated_time", "slip_limit_time", "unrequested_pressure",
          "adhesion_utilization", "blend_error", "energy_recovered", "launch_release_time",
          "launch_drag_work"})
      out.put(name, bypassed);
    return out.take();
  }
  response_measures(folds, context, out);
  if (context.follows) leave_to_driver(out);
  actuator_measures(folds, context, out);
  fault_measures(folds, context, out);
  return out.take();
}

RecordingErrors recording_errors(const Folds<double>& f, double tick_s) {
  RecordingErrors out;
  out.compared = f.compared_ticks > 0;
  if (out.compared) out.deceleration_rms_mps2 = std::sqrt(f.deceleration_square / f.compared_ticks);
  out.pressure_compared = f.pressure_compared_ticks > 0;
  if (out.pressure_compared)
    out.pressure_rms_bar = std::sqrt(f.pressure_square / f.pressure_compared_ticks) / kBar;
  out.longest_departure_s = f.longest_departure_ticks * tick_s;
  return out;
}

}  // namespace brakeward::measure
