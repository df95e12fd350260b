#include <algorithm>

#include "compile/parts.h"
#include "document/schema.h"

namespace brakeward::compile {
namespace {

std::string names_of(const v1::Vehicle& v) {
  std::string out;
  for (const v1::MassPlace& p : v.places()) out += (out.empty() ? "\"" : ", \"") + p.name() + "\"";
  return out.empty() ? "none" : out;
}

// Empty where the loaded car keeps the range the schema has for the empty one.
std::string out_of_range(const char* field, double value) {
  const v1::Quantity& q = *document::quantity_of(v1::Chassis::descriptor()->FindFieldByName(field));
  if (value >= q.minimum() && value <= q.maximum()) return "";
  return rounded(value, q.unit().c_str()) + ", not within " + document::range_text(q);
}

absl::Status check_loaded(const v1::Scenario& s, double mass, double along, double up, double wheelbase) {
  if (const std::string text = out_of_range("mass_kg", mass); !text.empty())
    return bad(s, "masses", "they make the car's mass " + text + "; correct the masses");
  if (along <= 0 || along >= wheelbase)
    return bad(s, "masses",
               "they put the centre of gravity " + rounded(along, "m") +
                   " behind the front axle, not within 0 to " + document::with_unit(wheelbase, "m") +
                   ", the wheelbase; correct the masses, or their places in the vehicle document");
  if (const std::string text = out_of_range("cog_height_m", up); !text.empty())
    return bad(s, "masses",
               "they make the height of the centre of gravity " + text +
                   "; correct the masses, or their places in the vehicle document");
  return absl::OkStatus();
}

}  // namespace

absl::Status place_masses(const v1::Vehicle& v, const v1::Scenario& s, plant::PlantParams<double>& out) {
  if (s.masses().empty()) return absl::OkStatus();
  double mass = out.mass;
  double along = mass * v.chassis().cog_behind_front_axle_m(), up = mass * v.chassis().cog_height_m();
  for (int i = 0; i < s.masses_size(); ++i) {
    const v1::PlacedMass& m = s.masses(i);
    const auto at = std::find_if(v.places().begin(), v.places().end(),
                                 [&](const v1::MassPlace& p) { return p.name() == m.place(); });
    if (at == v.places().end())
      return bad(s, "masses[" + std::to_string(i) + "].place",
                 "vehicle \"" + v.name() + "\" has no place \"" + m.place() + "\"; it has " + names_of(v) +
                     ". Name one of them, or add the place to the vehicle document");
    mass += m.mass_kg();
    along += m.mass_kg() * at->behind_front_axle_m();
    up += m.mass_kg() * at->height_m();
  }
  if (mass > 0) along /= mass, up /= mass;
  if (absl::Status status = check_loaded(s, mass, along, up, out.wheelbase); !status.ok()) return status;
  out.mass = mass;
  out.static_front = 1 - along / out.wheelbase;
  out.cog_height = up;
  return absl::OkStatus();
}

absl::StatusOr<LoadedCar> load_car(const v1::Vehicle& v, const v1::Scenario& s) {
  plant::PlantParams<double> car{};
  plant::PlantStructure structure{};
  compile_plant(v, s, car, structure);
  if (absl::Status status = place_masses(v, s, car); !status.ok()) return status;
  return LoadedCar{car.mass, car.static_front, car.cog_height};
}

}  // namespace brakeward::compile
