#include <algorithm>

#include "compile/curve.h"
#include "compile/parts.h"
#include "compile/units.h"
#include "document/schema.h"
#include "math/elementary.h"

namespace brakeward::compile {
namespace {

constexpr double kPerKilometre = 1e-3;

// Burckhardt's coefficients, as found in public codes; the cobbles' last digits from memory. Greatest mu at
// s = ln(c1 c2 / c3) / c2, or at lock where c3 is 0.
plant::SurfaceParams<double> surface(v1::Surface named) {
  struct {
    v1::Surface name;
    double c1, c2, c3;
  } constexpr kTable[] = {{v1::SURFACE_DRY_ASPHALT, 1.2801, 23.99, 0.52},
                          {v1::SURFACE_WET_ASPHALT, 0.857, 33.822, 0.347},
                          {v1::SURFACE_DRY_CONCRETE, 1.1973, 25.168, 0.5373},
                          {v1::SURFACE_DRY_COBBLES, 1.3713, 6.4565, 0.6691},
                          {v1::SURFACE_WET_COBBLES, 0.4004, 33.7080, 0.1204},
                          {v1::SURFACE_SNOW, 0.1946, 94.129, 0.0646},
                          {v1::SURFACE_ICE, 0.05, 306.39, 0}};
  plant::SurfaceParams<double> out{};
  for (const auto& row : kTable) {
    if (row.name != named) continue;
    const double at = row.c3 > 0 ? std::min(1.0, math::logarithm(row.c1 * row.c2 / row.c3) / row.c2) : 1;
    out = {row.c1, row.c2, row.c3, row.c1 * (1 - math::exponential(-row.c2 * at)) - row.c3 * at};
  }
  return out;
}

// What a scenario asks of a vehicle that lacks it.
absl::Status lacking(const v1::Vehicle& v, const v1::Scenario& s, const std::string& address,
                     const std::string& why, const std::string& missing) {
  return bad(
      s, "road." + address,
      why + ", but vehicle \"" + v.name() + "\" has no " + missing + "; set it in the vehicle document");
}

// A road that bends or banks needs what the load transfer across the car is made of.
absl::Status check_bend(const v1::Vehicle& v, const v1::Scenario& s) {
  const v1::Chassis& c = v.chassis();
  const char* missing = !c.has_front_track_width_m()        ? "front_track_width_m"
                        : !c.has_rear_track_width_m()       ? "rear_track_width_m"
                        : !c.has_front_roll_share_percent() ? "front_roll_share_percent"
                                                            : nullptr;
  if (missing == nullptr) return absl::OkStatus();
  return lacking(v, s, s.road().path_curvature().points_size() > 0 ? "path_curvature" : "banking",
                 "the road bends or banks", std::string("chassis.") + missing);
}

// A road with bumps needs wheels on springs, each with some of the body to carry.
absl::Status check_bumps(const v1::Vehicle& v, const v1::Scenario& s, const plant::PlantParams<double>& car) {
  const std::string address = s.road().bump_left().points_size() > 0 ? "bump_left" : "bump_right";
  if (!v.has_front_suspension() || !v.has_rear_suspension())
    return lacking(v, s, address, "the road has bumps",
                   v.has_front_suspension() ? "rear_suspension" : "front_suspension");
  const double share[] = {car.static_front, 1 - car.static_front};
  const char* name[] = {"front_suspension", "rear_suspension"};
  for (int a = 0; a < signal::kAxles; ++a) {
    const double carried = 0.5 * car.mass * share[a], unsprung = car.suspension[a].unsprung_mass;
    if (unsprung < carried) continue;
    return bad(s, "road." + address,
               "the road has bumps, but each of these wheels carries " + rounded(carried, "kg") +
                   " in all, and vehicle \"" + v.name() + "\" gives " + name[a] + ".unsprung_mass_kg as " +
                   document::with_unit(unsprung, "kg") +
                   "; it must be less: correct it in the vehicle document");
  }
  return absl::OkStatus();
}

}  // namespace

void road(const v1::Road& r, plant::RoadParams<double>& out, plant::PlantStructure& st) {
  out.friction[0] = engine_curve(r.friction_left(), 1, 1, 1, &st.friction_segments);
  out.friction[1] = engine_curve(r.has_friction_right() ? r.friction_right() : r.friction_left(), 1, 1, 1,
                                 &st.friction_segments);
  out.grade = engine_curve(r.grade(), 1, kPercent, 0, &st.grade_segments);
  out.banking = engine_curve(r.banking(), 1, kPercent, 0, &st.banking_segments);
  out.vertical_curvature = engine_curve(r.vertical_curvature(), 1, kPerKilometre, 0, &st.vertical_segments);
  out.path_curvature = engine_curve(r.path_curvature(), 1, kPerKilometre, 0, &st.path_segments);
  out.bump[0] = engine_curve(r.bump_left(), 1, kMilli, 0, &st.bump_segments);
  out.bump[1] =
      engine_curve(r.has_bump_right() ? r.bump_right() : r.bump_left(), 1, kMilli, 0, &st.bump_segments);
  st.bumps = r.bump_left().points_size() > 0 || r.bump_right().points_size() > 0;
  st.lateral = r.banking().points_size() > 0 || r.path_curvature().points_size() > 0;
  st.exponential = r.surface() != v1::SURFACE_UNSPECIFIED;
  if (st.exponential) out.surface = surface(r.surface());
}

absl::Status check_road(const v1::Vehicle& v, const v1::Scenario& s, const plant::PlantParams<double>& car,
                        const plant::PlantStructure& st) {
  if (st.lateral)
    if (absl::Status status = check_bend(v, s); !status.ok()) return status;
  return st.bumps ? check_bumps(v, s, car) : absl::OkStatus();
}

}  // namespace brakeward::compile
