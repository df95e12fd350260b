#include <algorithm>

#include "compile/parts.h"
#include "compile/units.h"
#include "math/curve.h"

namespace brakeward::compile {
namespace {

// What the reference calibration would ask of the front circuit for this raw request if it answered at once:
// dead band, feel curve, the request that counts at the start, demand limit, balance with its trims at the
// speed of the start.
double static_front(const control::ControlParams<double>& c, const control::ControlStructure& st,
                    double travel, double force, double speed) {
  const double hand =
      math::value(c.request.hand_feel, st.hand_segments, std::max(0.0, travel - c.request.hand_dead_band));
  const double pedal =
      math::value(c.request.pedal_feel, st.pedal_segments, std::max(0.0, force - c.request.pedal_dead_band));
  const double chosen = c.arbitration.start_pedal_share > 0.5 ? pedal : hand;
  const double demand = std::min(st.selects ? chosen : std::max(hand, pedal), c.pressure.demand_limit);
  if (!st.has_balance()) return demand;
  const double share = c.balance.front_share +
                       math::value(c.balance.speed_trim, st.speed_trim_segments, speed) +
                       math::value(c.balance.demand_trim, st.demand_trim_segments, demand);
  return 2 * std::clamp(share, 0.0, 1.0) * demand;
}

// Time at which the series first reaches, or last falls through, a level; negative when it never does.
double first_rise(const std::vector<double>& y, double level, double tick_s) {
  if (y.front() >= level) return 0;
  for (size_t i = 1; i < y.size(); ++i)
    if (y[i] >= level && y[i - 1] < level)
      return (static_cast<double>(i - 1) + (level - y[i - 1]) / (y[i] - y[i - 1])) * tick_s;
  return -1;
}

double last_fall(const std::vector<double>& y, double level, double tick_s) {
  for (size_t i = y.size(); i-- > 1;)
    if (y[i] <= level && y[i - 1] > level)
      return (static_cast<double>(i - 1) + (y[i - 1] - level) / (y[i - 1] - y[i])) * tick_s;
  return -1;
}

}  // namespace

absl::Status compile_reference(const Sources& src, CompiledScenario& out) {
  replay::ReplayPlan& plan = out.plan;
  measure::MeasureContext& context = out.context;
  auto& front = plan.input[replay::kReferenceFront];
  front.assign(plan.input[replay::kHandTravel].size(), 0);
  double* level = plan.params.fold.pressure_level;
  std::fill_n(level, 4, 1e12);
  if (context.pressure_entry) return absl::OkStatus();
  control::ControlStructure st{};
  const auto control = compile_control(src.reference, src.vehicle, src.scenario, st);
  if (!control.ok()) return control.status();
  if (context.motors)
    for (int a = 0; a < signal::kAxles; ++a)
      if (const double torque = control->blend.torque_per_pressure[a]; torque > 0)
        plan.params.fold.pressure_per_torque[a] = 1 / torque;
  for (size_t i = 0; i < front.size(); ++i)
    front[i] = static_front(*control, st, plan.input[replay::kHandTravel][i],
                            plan.input[replay::kPedalForce][i], plan.params.plant.start_speed);
  const double peak = *std::max_element(front.begin(), front.end());
  if (peak < 2 * measure::kFirstPressure)
    return bad(src.scenario, "input",
               "the request never asks for 2 bar at the front under calibration \"" + src.reference.name() +
                   "\"; nothing could be measured");
  level[0] = measure::kFirstPressure;
  for (int i = 0; i < 3; ++i) level[i + 1] = measure::kDelayShare[i] * peak;
  for (int i = 0; i < 4; ++i) {
    context.level_pa[i] = level[i];
    context.rise_s[i] = first_rise(front, level[i], context.tick_s);
  }
  context.fall_s = last_fall(front, level[1], context.tick_s);
  return absl::OkStatus();
}

}  // namespace brakeward::compile
