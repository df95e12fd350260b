#include <algorithm>
#include <cmath>
#include <vector>

#include "compile/check_parts.h"
#include "compile/parts.h"
#include "compile/units.h"
#include "document/schema.h"

namespace brakeward::compile {
namespace {

// Fields of `message` that only make sense together: some set and some not is a fault of each that is not.
void check_together(const google::protobuf::Message& message, const std::string& at,
                    const std::vector<const char*>& names, const VehicleFaults& out) {
  const auto* type = message.GetDescriptor();
  const auto has = [&](const char* name) {
    return message.GetReflection()->HasField(message, type->FindFieldByName(name));
  };
  const auto given = std::find_if(names.begin(), names.end(), has);
  if (given == names.end()) return;
  for (const char* name : names)
    if (!has(name))
      out.add(at + "." + name,
              "must be given together with " + at + "." + *given + "; give it, or leave both out");
}

void check_actuator(const v1::Actuator& a, const std::string& at, const VehicleFaults& out) {
  check_together(a, at,
                 {"heat_at_stall_w", "heat_capacity_j_per_k", "cooling_w_per_k", "derating_from_celsius",
                  "derating_to_celsius", "derated_percent"},
                 out);
  if (a.has_derating_from_celsius() && a.has_derating_to_celsius() &&
      a.derating_to_celsius() <= a.derating_from_celsius())
    out.add(at + ".derating_to_celsius", document::with_unit(a.derating_to_celsius(), "degC") +
                                             "; give more than " + at + ".derating_from_celsius, " +
                                             document::with_unit(a.derating_from_celsius(), "degC"));
}

void check_fluid(const v1::Fluid& f, const VehicleFaults& out) {
  check_together(f, "fluid",
                 {"dry_boiling_celsius", "wet_boiling_celsius", "water_percent", "vapour_growth_cm3_per_sk"},
                 out);
  if (f.has_dry_boiling_celsius() && f.has_wet_boiling_celsius() &&
      f.wet_boiling_celsius() >= f.dry_boiling_celsius())
    out.add("fluid.wet_boiling_celsius", document::with_unit(f.wet_boiling_celsius(), "degC") +
                                             "; water lowers the boiling point, so give less than "
                                             "fluid.dry_boiling_celsius, " +
                                             document::with_unit(f.dry_boiling_celsius(), "degC"));
  const auto& points = f.viscosity_mm2_per_s().points();
  for (int i = 1; i < points.size(); ++i)
    if (points[i].y() > points[i - 1].y())
      out.add("fluid.viscosity_mm2_per_s.points[" + std::to_string(i) + "].y",
              document::with_unit(points[i].y(), "mm^2/s") +
                  "; a liquid thins as it warms, so give at most the point before, " +
                  document::with_unit(points[i - 1].y(), "mm^2/s"));
}

// The ring that mass, density and half thickness make must leave the effective radius on itself: a ring of
// width w about radius r has the area 2 pi r w, and w < 2 r.
void check_disc(const v1::WheelBrake& b, const std::string& at, const VehicleFaults& out) {
  const double faces = b.disc_mass_kg() / (b.disc_density_kg_per_m3() * b.disc_half_thickness_mm() * 1e-3);
  const double least_mm = 1e3 * std::sqrt(faces / (8 * kPi));
  if (b.effective_radius_mm() <= least_mm)
    out.add(at + ".effective_radius_mm", document::with_unit(b.effective_radius_mm(), "mm") +
                                             "; a ring of this mass, density and half thickness (" +
                                             rounded(1e4 * faces, "cm^2") +
                                             " on both faces) needs more than " + rounded(least_mm, "mm") +
                                             ", or it would reach through its own centre");
}

void check_brake(const v1::WheelBrake& b, const v1::Fluid& fluid, const std::string& at,
                 const VehicleFaults& out) {
  check_disc(b, at, out);
  check_together(b, at, {"line_length_m", "line_bore_mm"}, out);
  if (fluid.viscosity_mm2_per_s().points_size() > 0 && !b.has_line_length_m())
    out.add(at + ".line_length_m",
            "must be given, because fluid.viscosity_mm2_per_s is: the flow through the "
            "line depends on its length and bore");
}

}  // namespace

void check_brakes(const v1::Vehicle& v, const VehicleFaults& out) {
  const v1::Actuator &front = v.front_actuator(), &rear = v.rear_actuator();
  check_actuator(front, "front_actuator", out);
  check_fluid(v.fluid(), out);
  check_brake(v.front_brake(), v.fluid(), "front_brake", out);
  check_brake(v.rear_brake(), v.fluid(), "rear_brake", out);
  const bool shared = layout_of(v).shared_actuator;
  if (v.has_rear_actuator() == shared) {
    out.add("rear_actuator", shared ? "must be left out, because hydraulic_layout.actuators is "
                                      "ACTUATOR_ARRANGEMENT_SHARED: front_actuator feeds both circuits"
                                    : "must be given; only with hydraulic_layout.actuators "
                                      "ACTUATOR_ARRANGEMENT_SHARED does front_actuator feed both circuits");
    return;
  }
  if (shared) return;
  if (front.nominal_supply_volts() != rear.nominal_supply_volts())
    out.add(
        "rear_actuator.nominal_supply_volts",
        (rear.has_nominal_supply_volts() ? document::with_unit(rear.nominal_supply_volts(), "V") : "unset") +
            "; both actuators hang on one supply, so give front_actuator.nominal_supply_volts, " +
            (front.has_nominal_supply_volts() ? document::with_unit(front.nominal_supply_volts(), "V")
                                              : "unset"));
  check_actuator(rear, "rear_actuator", out);
}

}  // namespace brakeward::compile
