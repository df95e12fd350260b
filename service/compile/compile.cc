#include "compile/compile.h"

#include <algorithm>
#include <cmath>

#include "compile/parts.h"
#include "compile/units.h"
#include "document/schema.h"

namespace brakeward::compile {
namespace {

constexpr double kNeverTick = 1e15;
constexpr double kSupplyVolts = 5;

struct TrackEffect {
  double gain, offset;
};

TrackEffect effect_of(const v1::Fault& f) {
  switch (f.kind()) {
    case v1::FAULT_KIND_TRACK_SHORT_TO_SUPPLY:
      return {0, kSupplyVolts};
    case v1::FAULT_KIND_TRACK_OFFSET:
      return {1, f.offset_volts()};
    default:
      return {0, 0};
  }
}

absl::Status compile_faults(const v1::Scenario& s, CompiledScenario& out) {
  const double tick_s = out.context.tick_s;
  fault::FaultParams<double>& params = out.plan.params.fault;
  for (auto& f : params.hand) f = {kNeverTick, kNeverTick, 1, 0};
  out.plan.params.fold.fault_start_tick = out.plan.params.fold.fault_end_tick = kNeverTick;
  for (int i = 0; i < s.faults_size(); ++i) {
    const v1::Fault& f = s.faults(i);
    const bool hit[] = {f.track() != v1::REQUEST_TRACK_HAND_B, f.track() != v1::REQUEST_TRACK_HAND_A};
    const TrackEffect effect = effect_of(f);
    for (int t = 0; t < signal::kHandTracks; ++t) {
      if (!hit[t]) continue;
      if (params.hand[t].start_tick < kNeverTick)
        return bad(s, "faults[" + std::to_string(i) + "].track",
                   "this track already has a fault; one a track is replayed");
      params.hand[t] = {f.start_s() / tick_s, f.end_s() / tick_s, effect.gain, effect.offset};
    }
    measure::MeasureContext& c = out.context;
    c.fault_start_s = c.has_fault ? std::min(c.fault_start_s, f.start_s()) : f.start_s();
    c.fault_end_s = std::max(c.fault_end_s, f.end_s());
    c.has_fault = true;
  }
  if (out.context.has_fault) {
    out.plan.params.fold.fault_start_tick = out.context.fault_start_s / tick_s;
    out.plan.params.fold.fault_end_tick = out.context.fault_end_s / tick_s;
  }
  return absl::OkStatus();
}

}  // namespace

absl::Status bad(const v1::Scenario& scenario, const std::string& address, const std::string& text) {
  return absl::InvalidArgumentError("scenario " + scenario.name() + ": " + address + ": " + text);
}

std::string rounded(double value, const char* unit) {
  return document::with_unit(std::round(1000 * value) / 1000, unit);
}

absl::StatusOr<CompiledScenario> compile(const Sources& src) {
  CompiledScenario out{};
  replay::ReplayPlan& plan = out.plan;
  plan.name = src.scenario.name();
  compile_plant(src.vehicle, src.scenario, plan.params.plant, plan.structure.plant);
  if (absl::Status s = place_masses(src.vehicle, src.scenario, plan.params.plant); !s.ok()) return s;
  if (absl::Status s = check_road(src.vehicle, src.scenario, plan.params.plant, plan.structure.plant);
      !s.ok())
    return s;
  out.context.tick_s = plan.structure.plant.tick_s;
  out.context.pressure_entry = plan.structure.plant.pressure_entry;
  out.context.ends_standing = src.scenario.end_rule() == v1::END_RULE_STANDSTILL;
  out.context.nominal_speed_mps =
      src.scenario.has_nominal_speed_kph() ? src.scenario.nominal_speed_kph() * kKph : 0;
  auto control = compile_control(src.calibration, src.vehicle, src.scenario, plan.structure.control);
  if (!control.ok()) return control.status();
  plan.params.control = *control;
  // A person regains speed with a gain of 10 m/s^2 per m/s; common practice, no source.
  plan.params.driver = {10 * plan.params.plant.mass, plan.params.plant.traction_limit};
  plan.params.fold.rolling_radius[signal::kFront] = src.vehicle.front_tyre().rolling_radius_m();
  plan.params.fold.rolling_radius[signal::kRear] = src.vehicle.rear_tyre().rolling_radius_m();
  if (absl::Status s = compile_input(src, out); !s.ok()) return s;
  if (absl::Status s = compile_reference(src, out); !s.ok()) return s;
  if (absl::Status s = compile_faults(src.scenario, out); !s.ok()) return s;
  return out;
}

}  // namespace brakeward::compile
