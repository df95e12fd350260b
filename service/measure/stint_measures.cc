#include "measure/stint_measures.h"

#include <algorithm>
#include <cmath>

#include "math/check.h"
#include "measure/collector.h"

namespace brakeward::measure {
namespace {

constexpr double kBar = 1e5;
constexpr int kWheels = 4;

using Legs = std::span<const StintLegRecord>;

template <class Value>
double greatest(Legs legs, Value value) {
  double out = value(legs.front());
  for (const StintLegRecord& leg : legs) out = std::max(out, value(leg));
  return out;
}

template <class Value>
double sum(Legs legs, Value value) {
  double out = 0;
  for (const StintLegRecord& leg : legs) out += value(leg);
  return out;
}

// A part of the lap on the first and on the last lap that compare.
struct Pair {
  const StintLegRecord *first, *last;
};

std::vector<Pair> compared_parts(Legs legs) {
  int first = 0, last = 0;
  for (const StintLegRecord& leg : legs) {
    if (!leg.compares) continue;
    if (first == 0) first = leg.lap;
    last = leg.lap;
  }
  std::vector<Pair> out;
  if (first == last) return out;
  for (const StintLegRecord& a : legs)
    for (const StintLegRecord& b : legs)
      if (a.lap == first && b.lap == last && a.part && a.part == b.part) out.push_back({&a, &b});
  return out;
}

bool stood(const StintLegRecord& leg) {
  return leg.folds->speed[2].tick >= 0;
}

double distance(const StintLegRecord& leg) {
  return leg.folds->last_distance - leg.folds->onset_distance;
}

double deceleration_in_ticks(const StintLegRecord& leg) {
  return leg.folds->braking_speed_loss / leg.folds->braking_ticks;
}

MeasureValue distance_change(const std::vector<Pair>& parts) {
  std::optional<double> worst;
  for (const Pair& p : parts) {
    if (!p.first->is_stop) continue;
    if (!stood(*p.first) || !stood(*p.last)) return never("a stop of the lap never came to a standstill");
    const double change = 100 * (distance(*p.last) / distance(*p.first) - 1);
    worst = std::max(worst.value_or(change), change);
  }
  return worst ? measured(*worst) : not_applicable("no stop is on two laps at pace");
}

MeasureValue deceleration_change(const std::vector<Pair>& parts) {
  std::optional<double> worst;
  for (const Pair& p : parts) {
    if (p.first->folds->braking_ticks <= 0 || p.last->folds->braking_ticks <= 0) continue;
    const double change = 100 * (deceleration_in_ticks(*p.last) / deceleration_in_ticks(*p.first) - 1);
    worst = std::min(worst.value_or(change), change);
  }
  return worst ? measured(*worst) : not_applicable("no braking is on two laps at pace");
}

double hottest(const double (&axles)[2]) {
  return std::max(axles[0], axles[1]);
}

void put_temperatures(Legs legs, const StintContext& c, Collector& out) {
  const auto peak = [&](auto value) { return measured(greatest(legs, value)); };
  out.put("peak_disc_temperature_front", peak([](const auto& l) { return l.folds->peak_disc[0]; }));
  out.put("peak_disc_temperature_rear", peak([](const auto& l) { return l.folds->peak_disc[1]; }));
  out.put("stint_peak_pad_temperature", peak([](const auto& l) { return hottest(l.stint->peak_pad); }));
  out.put("stint_peak_caliper_temperature",
          peak([](const auto& l) { return hottest(l.stint->peak_caliper); }));
  out.put("stint_peak_fluid_temperature", peak([](const auto& l) { return hottest(l.stint->peak_fluid); }));
  const double margin = -greatest(legs, [](const auto& l) { return -l.stint->least_boiling_margin; });
  const auto silent = not_applicable("no application began");
  out.put("stint_boiling_margin", !c.has_boiling_point ? not_applicable("the vehicle gives no boiling points")
                                  : margin < kNoMargin ? measured(margin)
                                                       : silent);
}

void put_actuators(Legs legs, const StintContext& c, Collector& out) {
  const auto cold = not_applicable("the vehicle gives no heat of its actuators");
  const auto winding = [](const auto& l) { return hottest(l.stint->peak_winding); };
  out.put("stint_peak_actuator_temperature", c.has_winding ? measured(greatest(legs, winding)) : cold);
  const double derated = sum(legs, [](const auto& l) { return l.tick_s * l.stint->derated_ticks; });
  out.put("stint_derating_time", c.has_winding ? measured(derated) : cold);
  const double time = sum(legs, [](const auto& l) { return l.tick_s * l.folds->finish_tick; });
  double square = 0;
  for (int a = 0; a < 2; ++a)
    square =
        std::max(square, sum(legs, [a](const auto& l) { return l.tick_s * l.stint->load_square[a]; }) / time);
  out.put("stint_actuator_duty", measured(100 * std::sqrt(square)));
  const double least = -greatest(legs, [](const auto& l) { return -l.folds->least_authority; });
  out.put("authority_margin", measured(100 * least));
}

void put_wear(Legs legs, const StintContext& c, Collector& out) {
  if (!c.has_wear) {
    for (auto name : {"stint_wear_front", "stint_wear_rear", "stint_wear_spread"})
      out.put(name, not_applicable("the vehicle gives no wear of its pads"));
    return;
  }
  const double* worn = legs.back().stint->worn;
  const double mean = 0.25 * (worn[0] + worn[1] + worn[2] + worn[3]);
  const auto [least, most] = std::minmax_element(worn, worn + kWheels);
  out.put("stint_wear_front", measured(1e9 * std::max(worn[0], worn[1])));
  out.put("stint_wear_rear", measured(1e9 * std::max(worn[2], worn[3])));
  out.put("stint_wear_spread",
          mean > 0 ? measured(100 * (*most - *least) / mean) : not_applicable("nothing was worn"));
}

double work_of(const StintLegRecord& leg) {
  const double* w = leg.stint->friction_work;
  return (w[0] + w[1]) + (w[2] + w[3]);
}

// Below these over a leg a control was not used: a sensor at rest shows as much (common practice, no source).
constexpr double kHandUsed = 5e-3;  // m s
constexpr double kPedalUsed = 50;   // N s

// Of the legs in which the driver used the control.
MeasureValue effort_per_work(Legs legs, double StintFolds<double>::*effort, double used, double unit) {
  double efforts = 0, work = 0;
  for (const StintLegRecord& leg : legs) {
    const double spent = leg.tick_s * leg.stint->*effort;
    if (spent <= used) continue;
    efforts += spent;
    work += work_of(leg);
  }
  if (efforts <= 0) return not_applicable("nobody used it in this stint");
  return work > 0 ? measured(efforts / unit / (work * 1e-6)) : never("the brakes did no work for it");
}

void put_work(Legs legs, const StintContext& c, Collector& out) {
  out.put("stint_brake_work", measured(sum(legs, work_of) * 1e-3));
  out.put("stint_hand_effort", effort_per_work(legs, &StintFolds<double>::hand_effort, kHandUsed, 1e-3));
  out.put("stint_pedal_effort", effort_per_work(legs, &StintFolds<double>::pedal_effort, kPedalUsed, 1));
  const double unasked = sum(legs, [](const auto& l) { return l.stint->unasked_work; });
  out.put("stint_drag_work", measured(unasked * 1e-3 / c.laps));
}

void put_change_over(Legs legs, Collector& out) {
  const auto leg =
      std::find_if(legs.begin(), legs.end(), [](const auto& l) { return l.selector_tick.has_value(); });
  if (leg == legs.end()) {
    for (auto name : {"change_over_time", "change_over_jump"})
      out.put(name, not_applicable("no driver change in this stint"));
    return;
  }
  const double last = leg->stint->short_tick;
  out.put("change_over_time", last >= leg->folds->finish_tick
                                  ? never("front pressure never reached what the selected control asks for")
                              : last < 0 ? measured(0)
                                         : measured((last + 1 - *leg->selector_tick) * leg->tick_s * 1e3));
  out.put("change_over_jump", measured(leg->stint->jump / kBar));
}

// Of a lap, or of a part.
void raise_peaks(const StintLegRecord& leg, auto& out) {
  for (int a = 0; a < 2; ++a) out.peak_disc[a] = std::max(out.peak_disc[a], leg.folds->peak_disc[a]);
  out.peak_fluid = std::max(out.peak_fluid, hottest(leg.stint->peak_fluid));
  out.peak_winding = std::max(out.peak_winding, hottest(leg.stint->peak_winding));
}

}  // namespace

std::vector<MeasureValue> make_stint_measures(Legs legs, const StintContext& context) {
  math::check(!legs.empty(), "a stint without legs");
  Collector out("made by single replays");
  const std::vector<Pair> parts = compared_parts(legs);
  out.put("stint_distance_change", distance_change(parts));
  out.put("stint_deceleration_change", deceleration_change(parts));
  put_temperatures(legs, context, out);
  put_actuators(legs, context, out);
  put_wear(legs, context, out);
  put_work(legs, context, out);
  put_change_over(legs, out);
  return out.take();
}

LapSummary summarise_lap(Legs legs, int lap) {
  LapSummary out;
  for (const StintLegRecord& leg : legs) {
    if (leg.lap != lap) continue;
    const StintFolds<double>& f = *leg.stint;
    out.braking_distance += leg.folds->braking_distance;
    raise_peaks(leg, out);
    if (f.least_boiling_margin < kNoMargin)
      out.boiling_margin = std::min(out.boiling_margin.value_or(kNoMargin), f.least_boiling_margin);
  }
  return out;
}

std::vector<PartSummary> summarise_parts(Legs legs) {
  std::vector<PartSummary> out;
  for (size_t i = 0; i < legs.size(); ++i) {
    const StintLegRecord& leg = legs[i];
    if (leg.part) {
      PartSummary& part = out.emplace_back();
      part.leg = i;
      if (leg.is_stop && stood(leg)) part.distance = distance(leg);
      if (leg.folds->braking_ticks > 0) part.deceleration = deceleration_in_ticks(leg) / leg.tick_s;
    }
    if (!out.empty()) raise_peaks(leg, out.back());
  }
  return out;
}

}  // namespace brakeward::measure
