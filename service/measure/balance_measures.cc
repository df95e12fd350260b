#include "measure/balance_measures.h"

#include <algorithm>

namespace brakeward::measure {
namespace {

void share_measures(const BalanceFolds<double>& b, Collector& out) {
  out.put("front_share_at_peak", b.peak_torque > 0 ? measured(b.front_at_peak / b.peak_torque * 100)
                                                   : not_applicable("nothing braked"));
  const auto idle = not_applicable("the brakes never gave half of what was asked of them at most");
  const bool worked = b.working_ticks > 0;
  out.put("front_share_spread", worked ? measured((b.most_share - b.least_share) * 100) : idle);
  out.put("front_share_over_ideal", worked ? measured(b.over_ideal / b.working_ticks * 100) : idle);
}

// By how much the rear wheels lock before the front ones, which may be never.
double rear_lead_ticks(const Folds<double>& f) {
  const double front = f.balance.lock_tick[0], rear = f.balance.lock_tick[1];
  if (rear < 0) return 0;
  return std::max(0.0, (front < 0 ? f.finish_tick : front) - rear);
}

void lock_measures(const Folds<double>& f, const MeasureContext& c, Collector& out) {
  const bool locks = f.balance.lock_tick[0] >= 0 || f.balance.lock_tick[1] >= 0;
  out.put("first_lock_deceleration", measured(locks ? f.balance.lock_deceleration : f.peak_deceleration));
  out.put("rear_lock_lead", measured(rear_lead_ticks(f) * c.tick_s * 1e3));
}

void grip_measures(const GripFolds<double>& g, const MeasureContext& c, Collector& out) {
  out.put("time_beyond_peak", measured(g.beyond_ticks * c.tick_s * 1e3));
  out.put("adhesion_utilization", g.limited_grip > 0
                                      ? measured(g.limited_force / g.limited_grip * 100)
                                      : not_applicable("the slip limiter never acts above 15 km/h"));
  out.put("unmet_lateral_force",
          c.bends ? measured(g.unmet_lateral) : not_applicable("the road does not bend"));
  out.put("yaw_moment", !c.uneven      ? not_applicable("the road is straight and grips both sides alike")
                        : !c.has_track ? not_applicable("the vehicle gives no track widths")
                                       : measured(g.yaw_moment));
}

}  // namespace

void balance_measures(const Folds<double>& folds, const MeasureContext& context, Collector& out) {
  share_measures(folds.balance, out);
  lock_measures(folds, context, out);
  grip_measures(folds.grip, context, out);
}

}  // namespace brakeward::measure
