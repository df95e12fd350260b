// Faults and disturbances of a scenario on the tick grid.
#include <algorithm>

#include "compile/parts.h"
#include "compile/units.h"

namespace brakeward::compile {
namespace {

constexpr double kNeverTick = 1e15;
constexpr double kTrackSupplyVolts = 5;
constexpr double kLeakDischarge = 0.61;  // sharp-edged hole (handbook)

struct TrackEffect {
  double gain, offset;
};

TrackEffect effect_of(const v1::Fault& f) {
  switch (f.kind()) {
    case v1::FAULT_KIND_TRACK_SHORT_TO_SUPPLY:
      return {0, kTrackSupplyVolts};
    case v1::FAULT_KIND_TRACK_OFFSET:
      return {1, f.offset_volts()};
    default:
      return {0, 0};
  }
}

std::string at(int fault, const char* field) {
  return "faults[" + std::to_string(fault) + "]." + field;
}

absl::Status track_fault(const v1::Scenario& s, int i, double tick_s, fault::FaultParams<double>& out) {
  const v1::Fault& f = s.faults(i);
  const bool hit[] = {f.track() != v1::REQUEST_TRACK_HAND_B, f.track() != v1::REQUEST_TRACK_HAND_A};
  const TrackEffect effect = effect_of(f);
  for (int t = 0; t < signal::kHandTracks; ++t) {
    if (!hit[t]) continue;
    if (out.hand[t].start_tick < kNeverTick)
      return bad(s, at(i, "track"), "this track already has a fault; one a track is replayed");
    out.hand[t] = {f.start_s() / tick_s, f.end_s() / tick_s, effect.gain, effect.offset};
  }
  return absl::OkStatus();
}

absl::Status timed_fault(const v1::Scenario& s, int i, const char* field, double tick_s, double value,
                         fault::TimedFault<double>& out) {
  const v1::Fault& f = s.faults(i);
  if (out.start_tick < kNeverTick)
    return bad(s, at(i, field), "a fault of this kind is already there; one is replayed");
  out = {f.start_s() / tick_s, f.end_s() / tick_s, value};
  return absl::OkStatus();
}

absl::Status add_fault(const Sources& src, int i, CompiledScenario& out) {
  const v1::Scenario& s = src.scenario;
  const v1::Fault& f = s.faults(i);
  const double tick_s = out.context.tick_s;
  fault::FaultParams<double>& params = out.plan.params.fault;
  plant::PlantStructure& st = out.plan.structure.plant;
  const int circuit = std::max(0, f.circuit() - v1::CIRCUIT_FRONT);
  const bool in_plant = f.kind() == v1::FAULT_KIND_CIRCUIT_LEAK || f.kind() == v1::FAULT_KIND_SUPPLY_DIP ||
                        f.kind() == v1::FAULT_KIND_ACTUATOR_DEAD;
  if (in_plant && st.pressure_entry)
    return bad(s, at(i, "kind"), "a replay from line pressure has no actuators or circuits for it to act on");
  switch (f.kind()) {
    case v1::FAULT_KIND_CIRCUIT_LEAK: {
      const double density = fluid_density(src.vehicle.fluid(), s.ambient_celsius());
      const double gain = orifice_gain(kLeakDischarge, f.leak_diameter_mm() * kMilli, density);
      st.disturbed = st.leaks = true;
      return timed_fault(s, i, "circuit", tick_s, gain, params.leak[circuit]);
    }
    case v1::FAULT_KIND_SUPPLY_DIP:
      st.disturbed = st.actuator_varies = true;
      return timed_fault(s, i, "kind", tick_s, f.supply_volts(), params.supply);
    case v1::FAULT_KIND_ACTUATOR_DEAD:
      st.disturbed = st.actuator_varies = true;
      return timed_fault(s, i, "circuit", tick_s, 1, params.dead[circuit]);
    default:
      return track_fault(s, i, tick_s, params);
  }
}

// Volts without a fault: the scenario's, else those at which the actuators are at full strength.
double supply(const Sources& src) {
  if (src.scenario.has_supply_volts()) return src.scenario.supply_volts();
  const v1::Vehicle& v = src.vehicle;
  const double nominal =
      std::max(v.front_actuator().nominal_supply_volts(), v.rear_actuator().nominal_supply_volts());
  return nominal > 0 ? nominal : 1e9;
}

}  // namespace

absl::Status compile_disturbances(const Sources& src, CompiledScenario& out) {
  const v1::Scenario& s = src.scenario;
  fault::FaultParams<double>& params = out.plan.params.fault;
  plant::PlantStructure& st = out.plan.structure.plant;
  const fault::TimedFault<double> never{kNeverTick, kNeverTick, 0};
  for (auto& f : params.hand) f = {kNeverTick, kNeverTick, 1, 0};
  params.supply = params.dead[0] = params.dead[1] = params.leak[0] = params.leak[1] = never;
  params.supply_volts = supply(src);
  std::fill_n(params.knock_back_tick, signal::kWheels, kNeverTick);
  for (const v1::KnockBack& k : s.knock_back()) {
    const int wheel = k.wheel() - v1::WHEEL_FRONT_LEFT;
    params.knock_back_tick[wheel] = k.at_s() / out.context.tick_s;
    out.plan.params.plant.knock_back[wheel] = k.volume_cm3() * kCubicCentimetre;
    st.disturbed = st.wheels_apart = true;
  }
  measure::MeasureContext& c = out.context;
  out.plan.params.fold.fault_start_tick = out.plan.params.fold.fault_end_tick = kNeverTick;
  for (int i = 0; i < s.faults_size(); ++i) {
    if (absl::Status status = add_fault(src, i, out); !status.ok()) return status;
    c.fault_start_s = c.has_fault ? std::min(c.fault_start_s, s.faults(i).start_s()) : s.faults(i).start_s();
    c.fault_end_s = std::max(c.fault_end_s, s.faults(i).end_s());
    c.has_fault = true;
  }
  if (c.has_fault) {
    out.plan.params.fold.fault_start_tick = c.fault_start_s / c.tick_s;
    out.plan.params.fold.fault_end_tick = c.fault_end_s / c.tick_s;
  }
  // The plant asks for the supply only where something can change it.
  if (st.actuator_varies) st.disturbed = true;
  return absl::OkStatus();
}

}  // namespace brakeward::compile
