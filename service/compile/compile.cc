#include "compile/compile.h"

#include <algorithm>
#include <cmath>

#include "compile/parts.h"
#include "compile/units.h"
#include "document/schema.h"
#include "math/elementary.h"

namespace brakeward::compile {

constexpr double kJerkLowPass = 10;  // Hz, above what a body pitches and below what a wheel rings with

absl::Status bad(const v1::Scenario& scenario, const std::string& address, const std::string& text) {
  return absl::InvalidArgumentError("scenario " + scenario.name() + ": " + address + ": " + text);
}

std::string rounded(double value, const char* unit) {
  return document::with_unit(std::round(1000 * value) / 1000, unit);
}

double whole_ticks(double ticks) {
  return std::ceil(ticks - 1e-9);
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
  out.context.holds = src.scenario.scenario_class() == v1::SCENARIO_CLASS_HOLD;
  const plant::PlantParams<double>& car = plan.params.plant;
  out.context.bends = plan.structure.plant.lateral;
  out.context.uneven = out.context.bends || car.road.friction[0] != car.road.friction[1];
  out.context.has_track = car.track[0] > 0 && car.track[1] > 0;
  out.context.motors = plan.structure.plant.motors;
  out.context.marker_m = src.scenario.marker_m();
  out.context.nominal_speed_mps =
      src.scenario.has_nominal_speed_kph() ? src.scenario.nominal_speed_kph() * kKph : 0;
  auto control = compile_control(src.calibration, src.vehicle, src.scenario, plan.structure.control);
  if (!control.ok()) return control.status();
  plan.params.control = *control;
  // A person regains speed with a gain of 10 m/s^2 per m/s; common practice, no source.
  plan.params.driver = {10 * plan.params.plant.mass, plan.params.plant.traction_limit};
  plan.params.fold.rolling_radius[signal::kFront] = src.vehicle.front_tyre().rolling_radius_m();
  plan.params.fold.rolling_radius[signal::kRear] = src.vehicle.rear_tyre().rolling_radius_m();
  plan.params.fold.marker_distance = out.context.marker_m > 0 ? out.context.marker_m : kNeverTick;
  plan.params.fold.jerk_share = 1 - math::exponential(-2 * kPi * kJerkLowPass * out.context.tick_s);
  vary(src.variation, plan.params.plant);
  steer(src.vehicle, src.scenario, plan);
  if (absl::Status s = compile_input(src, out); !s.ok()) return s;
  read_feel(src, out);
  if (absl::Status s = compile_reference(src, out); !s.ok()) return s;
  if (absl::Status s = compile_disturbances(src, out); !s.ok()) return s;
  return out;
}

absl::StatusOr<CompiledScenario> compile_faults(const Sources& src, const CompiledScenario& fault_free) {
  CompiledScenario out = fault_free;
  out.plan.name = src.scenario.name();
  if (const auto shared = std::move(out.plan.shared_input)) out.plan.input = *shared;
  if (absl::Status s = compile_disturbances(src, out); !s.ok()) return s;
  return out;
}

}  // namespace brakeward::compile
