#include <algorithm>

#include "compile/curve.h"
#include "compile/parts.h"
#include "compile/units.h"
#include "math/filter.h"

namespace brakeward::compile {
namespace {

constexpr double kUnbounded = 1e15;

double smoothing(double corner_hz, double tick_s) {
  return math::low_pass_coefficient(1 / (2 * kPi * corner_hz), tick_s);
}

template <class List>
auto* named(const List& list, const std::string& name) {
  const auto it =
      std::find_if(list.begin(), list.end(), [&](const auto& item) { return item.name() == name; });
  return it == list.end() ? nullptr : &*it;
}

void request(const v1::Calibration& c, const v1::EffortGrade& grade, double tick_ms,
             control::RequestParams<double>& out, control::ControlStructure& st) {
  const v1::HandControl& hand = c.hand_control();
  const v1::TrackScale* tracks[] = {&hand.track_a(), &hand.track_b()};
  for (int t = 0; t < signal::kHandTracks; ++t) {
    out.hand_zero[t] = tracks[t]->zero_volts();
    out.hand_scale[t] = tracks[t]->mm_per_volt() * kMilli;
  }
  const v1::Supervision& s = c.supervision();
  out.volts_minimum = s.volts_minimum();
  out.volts_maximum = s.volts_maximum();
  out.track_difference = s.track_difference_mm() * kMilli;
  out.debounce_ticks = s.fault_debounce_ms() / tick_ms;
  out.rearm_plausible_ticks = s.rearm_plausible_ms() / tick_ms;
  out.rearm_released_ticks = s.rearm_released_ms() / tick_ms;
  out.released_below = s.released_below_mm() * kMilli;
  out.limited_share = s.limited_demand_percent() * kPercent;
  out.hand_play = hand.hysteresis_mm() * kMilli;
  out.hand_dead_band = hand.dead_band_mm() * kMilli;
  out.hand_smoothing = smoothing(hand.low_pass_hz(), tick_ms * kMilli);
  out.hand_feel = engine_curve(grade.feel(), kMilli, kBar, 0, &st.hand_segments);
  out.pedal_zero = c.pedal().zero_volts();
  out.pedal_scale = c.pedal().n_per_volt();
  out.pedal_dead_band = c.pedal().dead_band_n();
  out.pedal_smoothing = smoothing(c.pedal().low_pass_hz(), tick_ms * kMilli);
  out.pedal_feel = engine_curve(c.pedal().feel(), 1, kBar, 0, &st.pedal_segments);
}

bool supervises(const v1::Supervision& s) {
  return s.has_pedal_released_below_n() || s.has_request_timeout_ms() || s.has_wheel_speed_drop_mps2() ||
         s.has_pressure_error_bar() || s.has_undervoltage_volts() || s.has_rearm_rise_limit_bar_per_s();
}

// What is not checked gets a bound that nothing passes.
void supervision(const v1::Calibration& c, double tick_ms, control::SupervisionParams<double>& out) {
  const v1::Supervision& s = c.supervision();
  const double tick_s = tick_ms * kMilli;
  out.request_timeout_ticks = s.has_request_timeout_ms() ? s.request_timeout_ms() / tick_ms : kUnbounded;
  const bool pedal = s.has_pedal_released_below_n();
  out.pedal_minimum = pedal ? s.volts_minimum() : -kUnbounded;
  out.pedal_maximum = pedal ? s.volts_maximum() : kUnbounded;
  out.pedal_released_below = s.pedal_released_below_n();
  out.wheel_drop_per_tick = s.has_wheel_speed_drop_mps2() ? s.wheel_speed_drop_mps2() * tick_s : kUnbounded;
  out.wheel_share = 1 - s.wheel_speed_gap_percent() * kPercent;
  out.pressure_error = s.has_pressure_error_bar() ? s.pressure_error_bar() * kBar : kUnbounded;
  out.pressure_error_ticks = s.has_pressure_error_ms() ? s.pressure_error_ms() / tick_ms : kUnbounded;
  out.feedback_per_tick = 1 / out.pressure_error_ticks;
  out.supply_minimum = s.has_undervoltage_volts() ? s.undervoltage_volts() : -kUnbounded;
  out.debounce_ticks = s.fault_debounce_ms() / tick_ms;
  out.plausible_ticks = s.rearm_plausible_ms() / tick_ms;
  out.released_ticks = s.rearm_released_ms() / tick_ms;
  const double rise = s.has_rearm_rise_limit_bar_per_s() ? s.rearm_rise_limit_bar_per_s()
                                                         : c.pressure_control().rise_limit_bar_per_s();
  out.rearm_rise_per_tick = rise * kBar * tick_s;
}

void arbitration(const v1::Arbitration& a, const v1::Scenario& s, double tick_ms,
                 control::ArbitrationParams<double>& out, control::ControlStructure& st) {
  st.selects = a.rule() == v1::ARBITRATION_RULE_DRIVER_SELECTOR;
  out.change_per_tick = a.change_over_ms() > tick_ms ? tick_ms / a.change_over_ms() : 1;
  out.start_pedal_share = s.selected_control() == v1::REQUEST_CONTROL_PEDAL ? 1 : 0;
}

void blending(const v1::Blending& b, double tick_s, control::BlendParams<double>& out) {
  const v1::AxleBlending* axles[] = {b.has_front() ? &b.front() : nullptr,
                                     b.has_rear() ? &b.rear() : nullptr};
  for (int a = 0; a < signal::kAxles; ++a) {
    if (axles[a] == nullptr) continue;
    out.limit[a] = axles[a]->torque_limit_nm();
    out.torque_per_pressure[a] = axles[a]->torque_nm_per_bar() / kBar;
  }
  out.fade_to = b.fade_to_kph() * kKph;
  out.per_fade = 1 / ((b.fade_from_kph() - b.fade_to_kph()) * kKph);
  out.slew_per_tick = b.slew_limit_nm_per_s() * tick_s;
}

void pressure(const v1::PressureControl& p, double tick_ms, control::PressureParams<double>& out) {
  const double tick_s = tick_ms * kMilli;
  out.rise_per_tick = p.rise_limit_bar_per_s() * kBar * tick_s;
  out.fall_per_tick = p.fall_limit_bar_per_s() * kBar * tick_s;
  out.demand_limit = p.demand_limit_bar() * kBar;
  out.proportional = p.proportional_gain();
  out.integral_per_tick = p.integral_gain_per_s() * tick_s;
  out.integral_limit = p.integral_limit_bar() * kBar;
  out.prefill = p.prefill_bar() * kBar;
  out.prefill_ticks = p.prefill_ms() / tick_ms;
}

void hold(const v1::StandstillHold& h, double tick_ms, control::HoldParams<double>& out) {
  out.standing_below = h.standing_below_kph() * kKph;
  out.standing_ticks = h.standing_ms() / tick_ms;
  out.share = h.share_percent() * kPercent;
  out.limit = h.limit_bar() * kBar;
  out.longest_ticks = h.longest_ms() / tick_ms;
  out.rolls_above = h.rolls_above_kph() * kKph;
  out.launch_accelerator = h.launch_accelerator_percent() * kPercent;
  out.release_per_tick = h.release_rate_bar_per_s() * kBar * tick_ms * kMilli;
}

void overlap(const v1::AcceleratorOverlap& o, double tick_ms, control::OverlapParams<double>& out) {
  out.accelerator = o.accelerator_percent() * kPercent;
  out.request = o.request_bar() * kBar;
  out.plausible_ticks = o.plausible_ms() / tick_ms;
  out.kept_share = o.kept_percent() * kPercent;
  out.change_per_tick = o.change_rate_per_s() * tick_ms * kMilli;
  out.released_below = o.released_below_percent() * kPercent;
}

void power_up(const v1::PowerUp& p, const v1::Vehicle& v, control::PowerParams<double>& out) {
  const double tick_ms = v.tick_ms();
  out.running_above = p.running_above_volts();
  out.test_ticks = p.self_test_ms() / tick_ms;
  out.moving_test_ticks = p.moving_self_test_ms() / tick_ms;
  out.moving_above = p.moving_above_kph() * kKph;
  out.foot_pushes = v.has_pedal_path() ? 1 : 0;
}

void slip(const v1::SlipLimit& s, const v1::Vehicle& v, control::SlipParams<double>& out,
          control::ControlStructure& st) {
  const v1::AxleSlipLimit* axles[] = {&s.front(), &s.rear()};
  const double tick_s = v.tick_ms() * kMilli;
  for (int a = 0; a < signal::kAxles; ++a) {
    out.release_slip[a] = axles[a]->release_slip_percent() * kPercent;
    out.reapply_slip[a] = axles[a]->reapply_slip_percent() * kPercent;
    out.release_per_tick[a] = axles[a]->release_rate_per_s() * tick_s;
    out.reapply_per_tick[a] = axles[a]->reapply_rate_per_s() * tick_s;
    out.least_factor[a] = axles[a]->least_factor_percent() * kPercent;
    out.each_wheel[a] = axles[a]->scope() == v1::SLIP_LIMIT_SCOPE_WHEEL ? 1 : 0;
  }
  out.off_below = s.off_below_kph() * kKph;
  out.reference_change_per_tick = s.reference_change_mps2() * tick_s;
  out.tick = tick_s;
  st.feels_deceleration = s.has_reference_margin_mps2();
  out.reference_margin_per_tick = s.reference_margin_mps2() * tick_s;
  st.holds_slipping = s.has_hold_above_mps2();
  out.hold_above_per_tick = s.hold_above_mps2() * tick_s;
  out.radius[signal::kFront] = v.front_tyre().rolling_radius_m();
  out.radius[signal::kRear] = v.rear_tyre().rolling_radius_m();
}

// A wheel can be limited by itself only where it has valves of its own.
absl::Status check_scope(const v1::Calibration& c, const v1::Vehicle& v, const v1::Scenario& s) {
  if (v.hydraulic_layout().has_wheel_valves()) return absl::OkStatus();
  const std::pair<const char*, const v1::AxleSlipLimit*> axles[] = {{"front", &c.slip_limit().front()},
                                                                    {"rear", &c.slip_limit().rear()}};
  for (const auto& [name, axle] : axles)
    if (axle->scope() == v1::SLIP_LIMIT_SCOPE_WHEEL)
      return absl::InvalidArgumentError(
          "scenario " + s.name() + ": calibration \"" + c.name() + "\": slip_limit." + name +
          ".scope: SLIP_LIMIT_SCOPE_WHEEL; vehicle \"" + v.name() +
          "\" has no valves per wheel (hydraulic_layout.wheel_valves), so give SLIP_LIMIT_SCOPE_AXLE");
  return absl::OkStatus();
}

}  // namespace

absl::StatusOr<control::ControlParams<double>> compile_control(const v1::Calibration& c, const v1::Vehicle& v,
                                                               const v1::Scenario& s,
                                                               control::ControlStructure& st) {
  const std::string& grade_name =
      s.effort_grade().empty() ? c.hand_control().effort_grade() : s.effort_grade();
  const std::string& step_name = s.balance_step().empty() ? c.balance().step() : s.balance_step();
  const auto* grade = named(c.hand_control().effort_grades(), grade_name);
  if (!grade)
    return bad(s, "effort_grade",
               "calibration \"" + c.name() + "\" has no effort grade \"" + grade_name + "\"");
  const auto* step = named(c.balance().steps(), step_name);
  if (!step)
    return bad(s, "balance_step",
               "calibration \"" + c.name() + "\" has no balance step \"" + step_name + "\"");
  static_cast<signal::HydraulicLayout&>(st) = layout_of(v);
  if (absl::Status fits = check_scope(c, v, s); !fits.ok()) return fits;
  control::ControlParams<double> out{};
  request(c, *grade, v.tick_ms(), out.request, st);
  out.balance.front_share = step->front_percent() * kPercent;
  out.balance.speed_trim = engine_curve(c.balance().speed_trim(), kKph, kPercent, 0, &st.speed_trim_segments);
  out.balance.demand_trim =
      engine_curve(c.balance().demand_trim(), kBar, kPercent, 0, &st.demand_trim_segments);
  st.supervised = supervises(c.supervision());
  supervision(c, v.tick_ms(), out.supervision);
  arbitration(c.arbitration(), s, v.tick_ms(), out.arbitration, st);
  st.blends = c.has_blending();
  if (st.blends && !st.has_balance())
    return absl::InvalidArgumentError("scenario " + s.name() + ": calibration \"" + c.name() +
                                      "\": blending: vehicle \"" + v.name() +
                                      "\" cannot give its axles pressures of their own (hydraulic_layout "
                                      "without wheel_valves), so leave it "
                                      "out");
  if (st.blends) blending(c.blending(), v.tick_ms() * kMilli, out.blend);
  pressure(c.pressure_control(), v.tick_ms(), out.pressure);
  slip(c.slip_limit(), v, out.slip, st);
  st.holds = c.has_standstill_hold();
  if (st.holds) hold(c.standstill_hold(), v.tick_ms(), out.hold);
  st.overlaps = c.has_accelerator_overlap();
  if (st.overlaps) overlap(c.accelerator_overlap(), v.tick_ms(), out.overlap);
  st.powers_up = c.has_power_up();
  if (st.powers_up) power_up(c.power_up(), v, out.power);
  st.compensates = c.hand_control().has_steering_compensation_mm_per_degree();
  out.request.steering_compensation =
      c.hand_control().steering_compensation_mm_per_degree() * kMilli / kDegree;
  return out;
}

}  // namespace brakeward::compile
