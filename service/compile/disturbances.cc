// Faults and disturbances of a scenario on the tick grid.
#include <algorithm>

#include "compile/parts.h"
#include "compile/units.h"
#include "math/elementary.h"
#include "math/random.h"

namespace brakeward::compile {
namespace {

constexpr double kTrackSupplyVolts = 5;
constexpr uint64_t kSeeds = 2147483646;  // a seed of the noise is one of 1 to this
constexpr double kLeakDischarge = 0.61;  // sharp-edged hole (handbook)

std::string at(int fault, const char* field) {
  return "faults[" + std::to_string(fault) + "]." + field;
}

// What a fault of a track does between start and end. Its noise is its own: scenario and track make the seed.
fault::TrackFault<double> track_fault_of(const v1::Scenario& s, const v1::Fault& f, double tick_s,
                                         const char* track) {
  const double first = f.start_s() / tick_s, last = f.end_s() / tick_s;
  const auto seed = static_cast<double>(math::seed_from(s.name() + "/" + track) % kSeeds + 1);
  switch (f.kind()) {
    case v1::FAULT_KIND_TRACK_SHORT_TO_SUPPLY:
      return {first, last, 0, kTrackSupplyVolts, 0, seed, 0};
    case v1::FAULT_KIND_TRACK_OFFSET:
      return {first, last, 1, f.offset_volts(), 0, seed, 0};
    case v1::FAULT_KIND_TRACK_STUCK:
      return {first, last, 1, 0, 0, seed, 1};
    case v1::FAULT_KIND_TRACK_NOISE:
      return {first, last, 1, 0, f.noise_volts(), seed, 0};
    default:  // open, or a short to ground: 0 V
      return {first, last, 0, 0, 0, seed, 0};
  }
}

absl::Status track_fault(const v1::Scenario& s, int i, double tick_s, fault::FaultParams<double>& out,
                         fault::FaultChoices& choices) {
  const v1::Fault& f = s.faults(i);
  const bool pedal = f.track() == v1::REQUEST_TRACK_PEDAL;
  if (pedal || f.kind() == v1::FAULT_KIND_TRACK_STUCK || f.kind() == v1::FAULT_KIND_TRACK_NOISE)
    choices.sensors = true;
  const struct {
    const char* name;
    bool hit;
    fault::TrackFault<double>& out;
  } tracks[] = {{"hand_a", !pedal && f.track() != v1::REQUEST_TRACK_HAND_B, out.hand[signal::kTrackA]},
                {"hand_b", !pedal && f.track() != v1::REQUEST_TRACK_HAND_A, out.hand[signal::kTrackB]},
                {"pedal", pedal, out.pedal}};
  for (const auto& track : tracks) {
    if (!track.hit) continue;
    if (track.out.start_tick < kNeverTick)
      return bad(s, at(i, "track"), "this track already has a fault; one a track is replayed");
    track.out = track_fault_of(s, f, tick_s, track.name);
  }
  return absl::OkStatus();
}

absl::Status pressure_fault(const v1::Scenario& s, int i, double tick_s, fault::PressureFault<double>& out) {
  const v1::Fault& f = s.faults(i);
  if (out.start_tick < kNeverTick)
    return bad(s, at(i, "circuit"), "this circuit's pressure sensor already has a fault; one is replayed");
  out = {f.start_s() / tick_s, f.end_s() / tick_s, f.offset_bar() * kBar, f.drift_bar_per_s() * kBar * tick_s,
         f.kind() == v1::FAULT_KIND_PRESSURE_SENSOR_STUCK ? 1.0 : 0.0};
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

// The bus sends message n at the first tick not before n periods.
absl::Status lose_message(const v1::Scenario& s, int i, double tick_s, double period_ticks,
                          fault::TimedFault<double>& out) {
  if (absl::Status status = timed_fault(s, i, "kind", tick_s, 1, out); !status.ok()) return status;
  const double sent = whole_ticks(whole_ticks(out.start_tick / period_ticks) * period_ticks);
  if (sent >= out.end_tick)
    return bad(s, at(i, "end_s"),
               "no message is sent between start and end; give a period of the bus or more");
  out.end_tick = sent + 0.5;
  return absl::OkStatus();
}

// Share of its way that an actuator goes in a step at this share of its response rate, in parts of what it
// goes at all of it: (1 - exp(-r h / lag)) / (1 - exp(-h / lag)).
double response_left(double rate, double step_s, double lag_s) {
  return (1 - math::exponential(-rate * step_s / lag_s)) / (1 - math::exponential(-step_s / lag_s));
}

absl::Status sensor_fault(const v1::Scenario& s, int i, CompiledScenario& out) {
  const v1::Fault& f = s.faults(i);
  const double tick_s = out.context.tick_s;
  fault::FaultParams<double>& params = out.plan.params.fault;
  out.plan.structure.fault.sensors = true;
  switch (f.kind()) {
    case v1::FAULT_KIND_WHEEL_SPEED_LOST:
      return timed_fault(s, i, "wheel", tick_s, 1, params.speed_lost[f.wheel() - v1::WHEEL_FRONT_LEFT]);
    case v1::FAULT_KIND_BUS_SILENT:
      return timed_fault(s, i, "kind", tick_s, 1, params.bus_silent);
    case v1::FAULT_KIND_BUS_DELAYED:
      return timed_fault(s, i, "kind", tick_s, whole_ticks(f.delay_ms() * kMilli / tick_s), params.bus_delay);
    case v1::FAULT_KIND_ACCELEROMETER_OFFSET:
      return timed_fault(s, i, "kind", tick_s, f.offset_mps2(), params.acceleration_offset);
    case v1::FAULT_KIND_BUS_MESSAGE_LOST:
      return lose_message(s, i, tick_s, out.plan.params.plant.sensor.bus_period_ticks, params.bus_silent);
    default:
      return pressure_fault(s, i, tick_s, params.pressure[f.circuit() - v1::CIRCUIT_FRONT]);
  }
}

absl::Status actuator_fault(const v1::Scenario& s, int i, CompiledScenario& out) {
  const v1::Fault& f = s.faults(i);
  const double tick_s = out.context.tick_s;
  const int circuit = f.circuit() - v1::CIRCUIT_FRONT;
  const double left = f.remaining_percent() * kPercent;
  fault::FaultParams<double>& params = out.plan.params.fault;
  plant::PlantStructure& st = out.plan.structure.plant;
  if (st.shared_actuator && circuit == signal::kRear)
    return bad(s, at(i, "circuit"), "one actuator feeds both circuits; give CIRCUIT_FRONT, its place");
  st.disturbed = st.actuator_varies = true;
  switch (f.kind()) {
    case v1::FAULT_KIND_ACTUATOR_SLOW: {
      const double lag = out.plan.params.plant.actuator[circuit].lag;
      const double share = response_left(left, tick_s / st.substeps, lag);
      return timed_fault(s, i, "circuit", tick_s, share, params.response[circuit]);
    }
    case v1::FAULT_KIND_ACTUATOR_FLOW_LIMITED:
      return timed_fault(s, i, "circuit", tick_s, left, params.flow[circuit]);
    default:
      return timed_fault(s, i, "circuit", tick_s, 1, params.dead[circuit]);
  }
}

absl::Status add_fault(const Sources& src, int i, CompiledScenario& out) {
  const v1::Scenario& s = src.scenario;
  const v1::Fault& f = s.faults(i);
  const double tick_s = out.context.tick_s;
  fault::FaultParams<double>& params = out.plan.params.fault;
  plant::PlantStructure& st = out.plan.structure.plant;
  if (st.pressure_entry)
    return bad(
        s, at(i, "kind"),
        "a replay from line pressure bypasses controller, actuators and circuits; nothing is left for it "
        "to act on");
  switch (f.kind()) {
    case v1::FAULT_KIND_TRACK_OPEN:
    case v1::FAULT_KIND_TRACK_SHORT_TO_SUPPLY:
    case v1::FAULT_KIND_TRACK_SHORT_TO_GROUND:
    case v1::FAULT_KIND_TRACK_OFFSET:
    case v1::FAULT_KIND_TRACK_STUCK:
    case v1::FAULT_KIND_TRACK_NOISE:
      return track_fault(s, i, tick_s, params, out.plan.structure.fault);
    case v1::FAULT_KIND_ACTUATOR_DEAD:
    case v1::FAULT_KIND_ACTUATOR_SLOW:
    case v1::FAULT_KIND_ACTUATOR_FLOW_LIMITED:
      return actuator_fault(s, i, out);
    case v1::FAULT_KIND_CIRCUIT_LEAK: {
      const double density = fluid_density(src.vehicle.fluid(), s.ambient_celsius());
      const double gain = orifice_gain(kLeakDischarge, f.leak_diameter_mm() * kMilli, density);
      st.disturbed = st.leaks = true;
      return timed_fault(s, i, "circuit", tick_s, gain, params.leak[f.circuit() - v1::CIRCUIT_FRONT]);
    }
    case v1::FAULT_KIND_SELECTOR_CHANGED:
      return timed_fault(s, i, "kind", tick_s, 1 - params.pedal_selected, params.selector);
    case v1::FAULT_KIND_ACCELERATOR_PRESSED:
      out.plan.structure.fault.accelerator = true;
      return timed_fault(s, i, "kind", tick_s, f.accelerator_percent() * kPercent, params.accelerator);
    case v1::FAULT_KIND_SUPPLY_DIP:
      st.disturbed = st.actuator_varies = true;
      return timed_fault(s, i, "kind", tick_s, f.supply_volts(), params.supply);
    default:
      return sensor_fault(s, i, out);
  }
}

// Nothing goes wrong yet.
void start(fault::FaultParams<double>& out) {
  const fault::TimedFault<double> never{kNeverTick, kNeverTick, 0};
  out.hand[0] = out.hand[1] = out.pedal = {kNeverTick, kNeverTick, 1, 0, 0, 1, 0};
  out.pressure[0] = out.pressure[1] = {kNeverTick, kNeverTick, 0, 0, 0};
  std::fill_n(out.speed_lost, signal::kWheels, never);
  for (auto* of_circuits : {out.dead, out.response, out.flow, out.leak})
    std::fill_n(of_circuits, signal::kAxles, never);
  out.selector = out.supply = out.accelerator = out.bus_silent = out.bus_delay = out.acceleration_offset =
      never;
  std::fill_n(out.knock_back_tick, signal::kWheels, kNeverTick);
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
  start(params);
  params.supply_volts = supply(src);
  params.pedal_selected = s.selected_control() == v1::REQUEST_CONTROL_PEDAL ? 1 : 0;
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
