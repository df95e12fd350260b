#include "compile/check_vehicle.h"

#include "compile/check_parts.h"
#include "document/schema.h"
#include "math/constants.h"

namespace brakeward::compile {
namespace {

void check_chassis(const v1::Chassis& c, const VehicleFaults& out) {
  if (c.cog_behind_front_axle_m() < c.wheelbase_m()) return;
  out.add("chassis.cog_behind_front_axle_m", document::with_unit(c.cog_behind_front_axle_m(), "m") +
                                                 ", behind the rear axle; give less than the wheelbase, " +
                                                 document::with_unit(c.wheelbase_m(), "m"));
}

}  // namespace

void check_vehicle(const v1::Vehicle& v, const std::string& file, document::Faults& faults) {
  const VehicleFaults out{file, faults};
  const double weight = v.chassis().mass_kg() * math::kGravity;
  check_chassis(v.chassis(), out);
  check_tyre(v.front_tyre(), "front_tyre", weight, out);
  check_tyre(v.rear_tyre(), "rear_tyre", weight, out);
  check_driveline(v.driveline(), out);
  check_brakes(v, out);
}

}  // namespace brakeward::compile
