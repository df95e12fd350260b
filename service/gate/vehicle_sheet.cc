#include "gate/vehicle_sheet.h"

#include <algorithm>

#include "compile/check_vehicle.h"
#include "compile/compile.h"
#include "document/defaults.h"
#include "gate/vehicle_sheet_car.h"
#include "gate/vehicle_sheet_response.h"
#include "math/constants.h"
#include "math/curve.h"
#include "scenario/library.h"

namespace brakeward::gate {
namespace {

constexpr double kReference_mps = 100 / 3.6;
constexpr double kPressureAt_g[] = {0.5, 1.0};
constexpr double kBalanceAt_g = 0.5;

void add_curve(v1::Curve& curve, double x, double y) {
  v1::CurvePoint& p = *curve.add_points();
  p.set_x(x);
  p.set_y(y);
}

// Equal pressures, and what compile needs besides. Only its structure is ever replayed: the sheet replaces
// request and pressure control.
v1::Calibration neutral_calibration() {
  v1::Calibration c;
  c.set_name("neutral");
  c.mutable_hand_control()->set_low_pass_hz(100);
  v1::EffortGrade& grade = *c.mutable_hand_control()->add_effort_grades();
  add_curve(*grade.mutable_feel(), 0, 0);
  c.mutable_pedal()->set_low_pass_hz(100);
  add_curve(*c.mutable_pedal()->mutable_feel(), 0, 0);
  add_curve(*c.mutable_pedal()->mutable_feel(), 100, 50);
  c.mutable_balance()->add_steps()->set_front_percent(50);
  c.mutable_pressure_control()->set_demand_limit_bar(250);
  document::resolve_defaults(&c);
  return c;
}

double force_share(const SheetCar& car, const Distribution& d, double g) {
  const double mean = mean_pressure(car, d, g * math::kGravity, 0, Effects::kBrakesAlone);
  const PerAxle f = contact_forces(car, pressures(d, 0, mean), g * math::kGravity, 0, Effects::kBrakesAlone);
  return f.front() / (f.front() + f.rear());
}

SheetBalance balance_of(const SheetCar& car, const Distribution& d, const std::string& name) {
  SheetBalance out;
  out.name = name;
  const double mean = mean_pressure(car, d, kBalanceAt_g * math::kGravity, 0, Effects::kBrakesAlone);
  out.front_pressure_share = pressures(d, 0, mean).front() / (2 * mean);
  out.front_force_share = force_share(car, d, kBalanceAt_g);
  out.plain = lock_order(car, d, 0, Effects::kBrakesAlone);
  for (const double v : kSheetSpeeds_mps) out.replayed.push_back(lock_order(car, d, v, Effects::kReplayed));
  out.first_lock_deceleration_g = first_lock(car, d, kReference_mps, &out.first_lock);
  return out;
}

void fill_header(const v1::Vehicle& v, const SheetCar& car, const v1::Scenario& scenario, VehicleSheet& out) {
  const auto& p = car.params;
  out.name = v.name();
  out.provenance = v.provenance();
  out.mass_kg = p.mass;
  out.cargo_kg = scenario.cargo_kg();
  out.wheelbase_m = p.wheelbase;
  out.static_front_share = p.static_front;
  out.cog_behind_front_axle_m = v.chassis().cog_behind_front_axle_m();
  out.cog_height_m = p.cog_height;
  out.layout = car.structure;
  out.disc_celsius = p.start_disc[signal::kFront];
  out.air_density_kg_per_m3 = scenario.air_density_kg_per_m3();
  double rotating = 0;
  for (int a = 0; a < signal::kAxles; ++a) {
    const auto& t = p.tyre[a];
    rotating += 2 * t.inertia / (t.radius * t.radius);
  }
  const PerAxle coasting = coasting_forces(car, kReference_mps);
  out.coasting_n = coasting.front() + coasting.rear();
  out.rotating_mass_share = rotating / p.mass;
}

void fill_loads(const SheetCar& car, VehicleSheet& out) {
  for (const double v : kSheetSpeeds_mps) {
    const double square = v * v;
    out.speeds.push_back(
        {v,
         car.params.drag * square,
         {{car.params.downforce[signal::kFront] * square, car.params.downforce[signal::kRear] * square}}});
  }
  for (int tenths = 0; tenths <= 10; tenths += 2)
    for (const double v : {0.0, kSheetSpeeds_mps[0], kSheetSpeeds_mps[1], kSheetSpeeds_mps[2]})
      out.loads.push_back({0.1 * tenths, v, axle_loads(car, 0.1 * tenths * math::kGravity, v)});
}

SheetUtilization utilization_at(const SheetCar& car, const Distribution& d, double g) {
  const PerAxle load = axle_loads(car, g * math::kGravity, 0);
  return {g, load.front() / (load.front() + load.rear()), force_share(car, d, g),
          grip_used(car, d, g * math::kGravity, 0, Effects::kBrakesAlone)};
}

// UN R13-H Annex 5: z >= 0.1 + 0.7 (k - 0.2) for 0.2 <= k <= 0.8 (from memory), where z is reached when the
// first axle uses k; the rear curve not above the front one for 0.15 <= z <= 0.80 (R13-H from memory; read
// for M1 in Directive 71/320/EEC).
void fill_utilization(const SheetCar& car, const Distribution& d, VehicleSheet& out) {
  for (int tenths = 1; tenths <= 10; ++tenths)
    out.utilization.push_back(utilization_at(car, d, 0.1 * tenths));
  constexpr double kAbove = 1 + 1e-9;  // the same but for rounding is not above
  double least = 1e9;
  for (int hundredths = 5; hundredths <= 100; ++hundredths) {
    const double z = 0.01 * hundredths;
    const PerAxle f = utilization_at(car, d, z).adhesion;
    if (out.rear_above_front_from_g <= 0 && hundredths >= 15 && hundredths <= 80 &&
        f.rear() > kAbove * f.front())
      out.rear_above_front_from_g = z;
    const double k = std::max(f.front(), f.rear());
    const double margin = z - (0.1 + 0.7 * (k - 0.2));
    if (k < 0.2 || k > 0.8 || margin >= least) continue;
    least = margin;
    out.least_margin_friction = k;
    out.least_margin_deceleration_g = z;
  }
}

SheetPressure pressure_at(const SheetCar& car, const Distribution& d, double g, double speed) {
  const Effects effects = speed > 0 ? Effects::kReplayed : Effects::kBrakesAlone;
  SheetPressure out{g, speed, {}, {}, {}, {}};
  out.pressure_pa = pressures(d, speed, mean_pressure(car, d, g * math::kGravity, speed, effects));
  for (int a = 0; a < signal::kAxles; ++a) {
    out.volume_m3.axle[a] = 2 * caliper_volume(car.params.brake[a], out.pressure_pa.axle[a]);
    out.stall_share.axle[a] = out.pressure_pa.axle[a] / car.params.actuator[a].stall_pressure;
  }
  for (int c = 0; c < signal::kAxles; ++c)
    out.volume_share.axle[c] =
        displaced(car.structure, out.volume_m3, c) / car.params.actuator[c].volume_limit;
  return out;
}

void fill_pressures(const SheetCar& car, const Distribution& d, VehicleSheet& out) {
  for (const double g : kPressureAt_g)
    for (const double v : {0.0, kReference_mps}) out.pressures.push_back(pressure_at(car, d, g, v));
  for (int a = 0; a < signal::kAxles; ++a) out.pressure_limit_pa.axle[a] = pressure_limit(car, a);
}

// UN R13-H allows the service brake's pedal 65 to 500 N (Annex 3, 2.1).
void fill_foot(const SheetCar& car, VehicleSheet& out) {
  if (!car.structure.pedal_path) return;
  for (const double force : {200.0, 500.0}) {
    SheetFoot row{force, {}, {}, 0};
    for (int c = 0; c < signal::kAxles; ++c) {
      const auto& path = car.params.pedal_path;
      const double stroke = path.volume_limit[c];
      const double pressure = pressure_at_volume(car, c, stroke, force * path.pressure_per_force[c]);
      const double volume = circuit_volume(car, c, pressure);
      row.pressure_pa.axle[c] = pressure;
      row.stroke_share.axle[c] = volume / stroke;
      row.travel_m += path.travel_per_volume[c] * volume;
      row.deceleration_g += circuit_force(car, c, pressure) / (car.params.mass * math::kGravity);
    }
    row.simulator_travel_m =
        math::value(car.params.pedal_path.simulator, car.structure.simulator_segments, force);
    out.foot.push_back(row);
  }
}

void fill_heat(const v1::Vehicle& v, const SheetCar& car, const Distribution& d, VehicleSheet& out) {
  out.heat_front_share = force_share(car, d, kBalanceAt_g);
  if (v.fluid().has_dry_boiling_celsius()) out.fluid_boils_celsius = car.params.brake[0].boiling;
  const double share[] = {out.heat_front_share, 1 - out.heat_front_share};
  const v1::WheelBrake* brakes[] = {&v.front_brake(), &v.rear_brake()};
  for (int a = 0; a < signal::kAxles; ++a)
    out.heat_capacity_j_per_k.axle[a] =
        2 * brakes[a]->disc_mass_kg() * brakes[a]->disc_specific_heat_j_per_kgk();
  for (const double speed : {kSheetSpeeds_mps[1], kSheetSpeeds_mps[2]}) {
    SheetHeat row{speed, 0.5 * car.params.mass * speed * speed, {}};
    for (int a = 0; a < signal::kAxles; ++a)
      row.rise_k.axle[a] =
          car.params.brake[a].heat.disc_share * share[a] * row.energy_j / out.heat_capacity_j_per_k.axle[a];
    out.heat.push_back(row);
  }
}

void fill_grades(const SheetCar& car, VehicleSheet& out) {
  constexpr bool kOne[][signal::kAxles] = {{true, false}, {false, true}};
  constexpr bool kAll[] = {true, true};
  for (const double friction : {1.0, 0.6, 0.3}) {
    SheetGrade g;
    g.road_friction = friction;
    for (int a = 0; a < signal::kAxles; ++a) {
      g.one_axle_uphill.axle[a] = grade_held(car, kOne[a], friction, true);
      g.one_axle_downhill.axle[a] = grade_held(car, kOne[a], friction, false);
    }
    g.all_uphill = grade_held(car, kAll, friction, true);
    g.all_downhill = grade_held(car, kAll, friction, false);
    out.grades.push_back(g);
  }
}

template <class List>
bool has_name(const List& list, const std::string& name) {
  return std::any_of(list.begin(), list.end(), [&](const auto& item) { return item.name() == name; });
}

// What the schema cannot say about a calibration for this car.
void check_calibration(const v1::Vehicle& v, const v1::Calibration& c, const std::string& file,
                       document::Faults& faults) {
  if (c.vehicle() != v.name())
    faults.add({file, 0, 0, "vehicle",
                "this calibration belongs to \"" + c.vehicle() + "\", the document describes \"" + v.name() +
                    "\"; give a calibration of that car"});
  if (!has_name(c.balance().steps(), c.balance().step()))
    faults.add({file, 0, 0, "balance.step",
                "no step is named \"" + c.balance().step() + "\"; name one of balance.steps"});
  if (!has_name(c.hand_control().effort_grades(), c.hand_control().effort_grade()))
    faults.add({file, 0, 0, "hand_control.effort_grade",
                "no grade is named \"" + c.hand_control().effort_grade() +
                    "\"; name one of hand_control.effort_grades"});
}

// The plan of the response scenario with this calibration.
absl::StatusOr<compile::CompiledScenario> compiled(const v1::Vehicle& v, const v1::Calibration& c,
                                                   const v1::Scenario& scenario) {
  const v1::Calibration neutral = neutral_calibration();
  return compile::compile({v, c, neutral, scenario});
}

// All that depends on the distribution in use.
void fill_in_use(const v1::Vehicle& v, const SheetCar& car, const Distribution& d,
                 const replay::ReplayPlan& hardware, const replay::ReplayPlan* tuned, VehicleSheet& out) {
  fill_utilization(car, d, out);
  fill_pressures(car, d, out);
  fill_foot(car, out);
  fill_heat(v, car, d, out);
  for (const double g : kPressureAt_g) {
    const double mean = mean_pressure(car, d, g * math::kGravity, kReference_mps, Effects::kReplayed);
    const PerAxle target = pressures(d, kReference_mps, mean);
    replay::ReplayPlan plan = hardware;
    make_transparent(plan.params.control);
    if (tuned != nullptr) plan.params.control.balance = tuned->params.control.balance;
    if (tuned != nullptr) plan.structure = tuned->structure;
    out.responses.push_back(
        {g, response(plan, mean, target), tuned != nullptr ? response(*tuned, mean, target) : PerAxle{}});
  }
}

}  // namespace

absl::StatusOr<VehicleSheet> make_vehicle_sheet(const v1::Vehicle& v, const v1::Calibration* c,
                                                double cargo_kg) {
  v1::Scenario scenario = response_scenario(cargo_kg);
  const auto hardware = compiled(v, neutral_calibration(), scenario);
  if (!hardware.ok()) return hardware.status();
  const SheetCar car{hardware->plan.params.plant, hardware->plan.structure.plant};
  VehicleSheet out;
  fill_header(v, car, scenario, out);
  fill_loads(car, out);
  out.equal_pressures = balance_of(car, {}, "");
  fill_grades(car, out);
  if (c == nullptr) {
    fill_in_use(v, car, {}, hardware->plan, nullptr, out);
    return out;
  }
  const auto tuned = compiled(v, *c, scenario);
  if (!tuned.ok()) return tuned.status();
  out.calibration = c->name();
  out.distribution = c->balance().step();
  for (const v1::BalanceStep& step : c->balance().steps()) {
    scenario.set_balance_step(step.name());
    Distribution d;
    const auto control = compile::compile_control(*c, v, scenario, d.structure);
    if (!control.ok()) return control.status();
    d.params = &control->balance;
    out.steps.push_back(balance_of(car, d, step.name()));
  }
  const Distribution in_use{&tuned->plan.params.control.balance, tuned->plan.structure.control};
  fill_in_use(v, car, in_use, hardware->plan, &tuned->plan, out);
  return out;
}

absl::StatusOr<VehicleSheet> load_vehicle_sheet(const std::filesystem::path& vehicle_file,
                                                const std::filesystem::path& calibration_file,
                                                double cargo_kg) {
  document::Faults faults;
  const auto vehicle = scenario::load_document<v1::Vehicle>(vehicle_file, faults);
  scenario::Loaded<v1::Calibration> calibration;
  const bool has_calibration = !calibration_file.empty();
  if (has_calibration) calibration = scenario::load_document<v1::Calibration>(calibration_file, faults);
  if (faults.empty()) compile::check_vehicle(vehicle.message, vehicle_file.string(), faults);
  if (has_calibration && faults.empty())
    check_calibration(vehicle.message, calibration.message, calibration_file.string(), faults);
  if (!faults.empty()) return faults.status();
  auto sheet =
      make_vehicle_sheet(vehicle.message, has_calibration ? &calibration.message : nullptr, cargo_kg);
  if (!sheet.ok())
    return absl::Status(sheet.status().code(),
                        vehicle_file.string() + ": " + std::string(sheet.status().message()));
  return sheet;
}

}  // namespace brakeward::gate
