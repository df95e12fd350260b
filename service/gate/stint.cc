#include "gate/stint.h"

#include <algorithm>
#include <map>

#include "compile/units.h"
#include "document/defaults.h"
#include "document/sha256.h"
#include "gate/broken.h"
#include "gate/judge.h"
#include "verdict/concat.h"

namespace brakeward::gate {
namespace {

using scenario::StintStretch;
using Kind = StintStretch::Kind;
using compile::kKph, compile::kMilli, compile::kNeverTick;

// Of driving and standing with the brakes released: nothing quick happens, and without faults no count of
// ticks is carried from there to a leg of another tick. The schema's longest; what it changes is tested.
constexpr double kDriveTick_ms = 5;
// A change-over: the outgoing driver holds his control, the other one takes his, the selector changes.
constexpr double kHeldFrom_s = 0.5, kTakenFrom_s = 1, kSelectorAt_s = 2, kChangeOver_s = 6;
constexpr double kFirmForce_n = 500;

// A flat dry road.
v1::Road flat_road() {
  v1::Road road;
  auto* point = road.mutable_friction_left()->add_points();
  point->set_x(0);
  point->set_y(1);
  return road;
}

// Compiles what a stint is made of, each plan once.
class StintCompiler {
 public:
  StintCompiler(const Session& session, const v1::Calibration& calibration, Compiler& compiler,
                CompiledStint& out)
      : session_(session),
        calibration_(calibration),
        compiler_(compiler),
        stint_(out.document->message),
        coarse_vehicle_(session.library->vehicle.message),
        out_(out) {
    coarse_vehicle_.set_tick_ms(std::max(kDriveTick_ms, coarse_vehicle_.tick_ms()));
  }

  // False when something cannot be compiled.
  bool run() {
    out_.plan.name = stint_.name();
    out_.plan.laps = stint_.laps();
    out_.stretches = scenario::expand(*session_.library, stint_);
    for (const StintStretch& s : out_.stretches)
      if (!add_leg(s)) return false;
    describe_car();
    return true;
  }

 private:
  v1::RequestControl selected(bool second_driver) const {
    if (second_driver) return stint_.driver_change().to_control();
    return stint_.selected_control() == v1::REQUEST_CONTROL_UNSPECIFIED ? v1::REQUEST_CONTROL_HAND
                                                                        : stint_.selected_control();
  }

  const v1::LapPart& part_of(const StintStretch& s) const {
    return scenario::lap_of(stint_, s.by_second_driver)[static_cast<int>(s.part.value_or(0))];
  }

  // The scenario of a part, with the stint's air and selector.
  scenario::Loaded<v1::Scenario> part_scenario(const StintStretch& s) const {
    scenario::Loaded<v1::Scenario> out = *session_.library->scenario_named(part_of(s).scenario());
    out.message.set_ambient_celsius(stint_.ambient_celsius());
    out.message.set_selected_control(selected(s.by_second_driver));
    return out;
  }

  // The car of the lap's first part on a flat road, with a request that a plan without one leaves out.
  scenario::Loaded<v1::Scenario> flat_scenario(const StintStretch& s, double kph) const {
    StintStretch first = s;
    first.part = 0;
    scenario::Loaded<v1::Scenario> out = part_scenario(first);
    out.file = out_.document->file;
    v1::Scenario& m = out.message;
    m.set_name(stint_.name());
    *m.mutable_road() = flat_road();
    m.clear_knock_back();
    v1::SyntheticInput& input = *m.mutable_synthetic();
    input.set_shape(v1::SYNTHETIC_SHAPE_STEP);
    input.set_control(selected(s.by_second_driver));
    input.set_travel_mm(session_.library->vehicle.message.sensors().hand_travel_limit_mm());
    input.set_force_n(kFirmForce_n);
    input.set_onset_s(kHeldFrom_s);
    m.set_end_rule(v1::END_RULE_END_OF_INPUT);
    m.set_initial_speed_kph(kph);
    m.set_longest_s(kChangeOver_s);
    document::resolve_defaults(&m);
    return out;
  }

  // Brakes released, speed held.
  bool add_drive(const StintStretch& s) {
    const auto scenario = flat_scenario(s, s.speed_kph);
    const v1::Calibration& reference =
        session_.reference ? session_.reference->message : session_.candidate.message;
    std::vector<compile::CompiledScenario> made;
    if (!compiler_.add(compile::compile({coarse_vehicle_, calibration_, reference, scenario.message}), made))
      return false;
    replay::ReplayPlan& plan = made.front().plan;
    plan.name = s.kind == Kind::kStand ? "standing" : "driving";
    for (auto& channel : plan.input) channel.assign(1, 0);
    plan.input[replay::kTargetSpeed][0] = s.speed_kph * kKph;
    plan.input[replay::kRecordedDeceleration][0] = plan.input[replay::kRecordedPressure][0] =
        measure::kNotRecorded;
    plan.params.fold.onset_tick = kNeverTick;
    add_plan(std::move(made.front()), false);
    return true;
  }

  bool add_change_over(const StintStretch& s) {
    const v1::DriverChange& change = stint_.driver_change();
    StintStretch before = s;
    before.by_second_driver = false;
    scenario::Loaded<v1::Scenario> held = flat_scenario(before, s.speed_kph);
    held.message.mutable_synthetic()->set_travel_mm(change.held_travel_mm());
    held.message.mutable_synthetic()->set_force_n(change.held_force_n());
    const bool to_pedal = change.to_control() == v1::REQUEST_CONTROL_PEDAL;
    const double taken = to_pedal ? change.held_force_n() : change.held_travel_mm() * kMilli;
    v1::Fault& selector = *held.message.add_faults();
    selector.set_kind(v1::FAULT_KIND_SELECTOR_CHANGED);
    selector.set_start_s(kSelectorAt_s);
    selector.set_end_s(kNeverTick * kMilli);
    std::vector<compile::CompiledScenario> made;
    if (!compiler_.add(compile_change_over(session_, held, calibration_,
                                           {change.to_control(), taken, kTakenFrom_s, kSelectorAt_s}),
                       made))
      return false;
    made.front().plan.name = "driver change";
    add_plan(std::move(made.front()), false);
    return true;
  }

  bool add_part(const StintStretch& s) {
    std::vector<compile::CompiledScenario> made;
    const auto scenario = part_scenario(s);
    if (!compiler_.add(scenario, calibration_, made)) return false;
    const bool is_stop = made.front().context.ends_standing;
    add_plan(std::move(made.front()), is_stop);
    return true;
  }

  void add_plan(compile::CompiledScenario made, bool is_stop) {
    out_.plan.plans.push_back(std::move(made.plan));
    out_.is_stop.push_back(is_stop);
  }

  // Position of the stretch's plan, which is made where it is new.
  std::optional<size_t> plan_of(const StintStretch& s) {
    const double which = s.kind == Kind::kPart ? static_cast<double>(s.part.value_or(0)) : s.speed_kph;
    const auto key = std::tuple(s.kind, s.by_second_driver, which);
    if (const auto known = plans_.find(key); known != plans_.end()) return known->second;
    const bool made = s.kind == Kind::kPart         ? add_part(s)
                      : s.kind == Kind::kChangeOver ? add_change_over(s)
                                                    : add_drive(s);
    if (!made) return std::nullopt;
    return plans_.emplace(key, out_.plan.plans.size() - 1).first->second;
  }

  // The car of a lap; the fuel that is burnt is mass that is missing at its place.
  bool load(const StintStretch& s, replay::StintLeg& leg) {
    StintStretch loaded = s;
    const size_t part = s.kind == Kind::kPart ? s.part.value_or(0) : 0;
    loaded.part = part;
    const auto key = std::tuple(s.burnt_kg, s.by_second_driver, part);
    auto known = cars_.find(key);
    if (known == cars_.end()) {
      scenario::Loaded<v1::Scenario> scenario = part_scenario(loaded);
      if (s.burnt_kg > 0) {
        v1::PlacedMass& burnt = *scenario.message.add_masses();
        burnt.set_place(stint_.fuel().place());
        burnt.set_mass_kg(-s.burnt_kg);
      }
      const auto car = compile::load_car(session_.library->vehicle.message, scenario.message);
      if (!car.ok()) {
        compiler_.refuse(out_.document->file.string() + ": fuel.kg_per_lap: on lap " + std::to_string(s.lap) +
                         ": " + std::string(car.status().message()));
        return false;
      }
      known = cars_.emplace(key, *car).first;
    }
    leg.mass = known->second.mass;
    leg.static_front = known->second.static_front;
    leg.cog_height = known->second.cog_height;
    return true;
  }

  bool add_leg(const StintStretch& s) {
    const auto plan = plan_of(s);
    if (!plan) return false;
    replay::StintLeg leg;
    leg.plan = *plan;
    leg.lap = s.lap;
    leg.request_factor = s.request_factor;
    leg.speed_factor = s.speed_factor;
    leg.resting_travel = stint_.resting_travel_mm() * kMilli;
    if (s.kind == Kind::kDrive || s.kind == Kind::kStand)
      leg.last_tick = std::max(1.0, std::round(s.seconds / out_.plan.plans[leg.plan].structure.plant.tick_s));
    leg.ambient = s.ambient_celsius;
    if (!load(s, leg)) return false;
    out_.plan.legs.push_back(leg);
    return true;
  }

  void describe_car() {
    const v1::Vehicle& v = session_.library->vehicle.message;
    out_.context.laps = stint_.laps();
    out_.context.has_boiling_point = v.fluid().has_dry_boiling_celsius();
    out_.context.has_wear = v.front_brake().pad_wear_mm3_per_mj().points_size() +
                                v.rear_brake().pad_wear_mm3_per_mj().points_size() >
                            0;
    out_.context.has_winding =
        v.front_actuator().has_heat_at_stall_w() || v.rear_actuator().has_heat_at_stall_w();
  }

  const Session& session_;
  const v1::Calibration& calibration_;
  Compiler& compiler_;
  const v1::Stint& stint_;
  v1::Vehicle coarse_vehicle_;  // whose controller and plant take the longest tick there is
  CompiledStint& out_;
  std::map<std::tuple<Kind, bool, double>, size_t> plans_;
  std::map<std::tuple<double, bool, size_t>, compile::LoadedCar> cars_;
};

std::vector<measure::StintLegRecord> records_of(const CompiledStint& stint,
                                                std::span<const replay::LegFolds> folds) {
  std::vector<measure::StintLegRecord> out;
  for (size_t i = 0; i < folds.size(); ++i) {
    const StintStretch& s = stint.stretches[i];
    const replay::StintLeg& leg = stint.plan.legs[i];
    measure::StintLegRecord& r = out.emplace_back();
    r.tick_s = stint.plan.plans[leg.plan].structure.plant.tick_s;
    r.lap = s.lap;
    r.compares = s.compares;
    r.part = s.part;
    r.is_stop = stint.is_stop[leg.plan];
    if (s.kind == Kind::kChangeOver)
      r.selector_tick = stint.plan.plans[leg.plan].params.fault.selector.start_tick;
    r.folds = &folds[i].folds;
    r.stint = &folds[i].stint;
  }
  return out;
}

// What is driven in a leg that is a part.
const std::string& scenario_of(const CompiledStint& stint, size_t leg) {
  const StintStretch& s = stint.stretches[leg];
  return scenario::lap_of(stint.document->message, s.by_second_driver)[static_cast<int>(s.part.value_or(0))]
      .scenario();
}

verdict::StintResult result_of(const CompiledStint& stint, std::span<const measure::StintLegRecord> legs) {
  verdict::StintResult out;
  for (int lap = 1; lap <= stint.plan.laps; ++lap) {
    const measure::LapSummary s = measure::summarise_lap(legs, lap);
    out.laps.push_back({lap, scenario::at_pace(stint.document->message, lap), s.braking_distance,
                        s.peak_disc[0], s.peak_disc[1], s.peak_fluid,
                        stint.context.has_boiling_point ? s.boiling_margin : std::nullopt, s.peak_winding});
  }
  for (const measure::PartSummary& p : measure::summarise_parts(legs))
    out.parts.push_back({legs[p.leg].lap, scenario_of(stint, p.leg), legs[p.leg].compares, p.distance,
                         p.deceleration, p.peak_disc[0], p.peak_disc[1], p.peak_fluid, p.peak_winding});
  return out;
}

}  // namespace

CompiledStint compile_stint(const Session& session, const scenario::Loaded<v1::Stint>& stint,
                            const v1::Calibration& calibration, Compiler& compiler) {
  CompiledStint out;
  out.document = &stint;
  StintCompiler(session, calibration, compiler, out).run();
  return out;
}

std::vector<measure::MeasureValue> stint_values(const CompiledStint& stint,
                                                std::span<const replay::LegFolds> folds) {
  return measure::make_stint_measures(records_of(stint, folds), stint.context);
}

verdict::StintResult stint_result(const CompiledStint& stint, std::span<const replay::LegFolds> folds) {
  return result_of(stint, records_of(stint, folds));
}

std::string broken_leg(const CompiledStint& stint, std::span<const replay::LegFolds> folds) {
  if (!folds.empty() && !broke(folds.back().folds)) return "";
  const size_t at = folds.empty() ? 0 : folds.size() - 1;
  return verdict::concat(
      "on lap ", stint.stretches[at].lap, ", in ", stint.plan.plans[stint.plan.legs[at].plan].name,
      ", the replay turned non-finite. Check the vehicle's tyres and brakes and the calibration for "
      "values that do not belong together");
}

verdict::ScenarioResult judge_stint(const Session& session, const CompiledStint& stint,
                                    std::span<const replay::LegFolds> folds) {
  const v1::Stint& document = stint.document->message;
  verdict::ScenarioResult result;
  result.scenario = document.name();
  result.scenario_class = scenario::class_word(v1::SCENARIO_CLASS_STINT);
  result.tier = verdict::Tier::kEndurance;
  if (std::string broken = broken_leg(stint, folds); !broken.empty()) {
    result.verdict = verdict::Verdict::kError;
    result.reason = std::move(broken);
    return result;
  }
  const auto legs = records_of(stint, folds);
  judge_aggregate(session, v1::SCENARIO_CLASS_STINT, document.name(),
                  measure::make_stint_measures(legs, stint.context), limits_of(document.limits()), result);
  result.stint = result_of(stint, legs);
  return result;
}

std::string stint_sha256(const scenario::Library& library, const scenario::Loaded<v1::Stint>& stint) {
  std::string all = stint.sha256;
  const auto add = [&](const auto& lap) {
    for (const v1::LapPart& part : lap)
      if (const auto* base = library.scenario_named(part.scenario()))
        all += "\n" + scenario_sha256(library, *base);
  };
  add(stint.message.lap());
  add(stint.message.driver_change().lap());
  return document::sha256_hex(all);
}

}  // namespace brakeward::gate
