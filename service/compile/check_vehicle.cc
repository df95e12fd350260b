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

void check_sensors(const v1::Vehicle& v, const VehicleFaults& out) {
  const v1::Sensors& s = v.sensors();
  if (s.has_bus_delay_ms() && !s.has_bus_period_ms())
    out.add("sensors.bus_period_ms", "must be given with sensors.bus_delay_ms; give it, or leave both out");
  if (s.has_bus_period_ms() && s.bus_period_ms() < v.tick_ms())
    out.add("sensors.bus_period_ms", document::with_unit(s.bus_period_ms(), "ms") +
                                         "; the controller sees a message a tick at most, so give tick_ms, " +
                                         document::with_unit(v.tick_ms(), "ms") + ", or more");
  if (s.has_acceleration_offset_mps2() && !s.has_acceleration_step_mps2())
    out.add("sensors.acceleration_step_mps2",
            "must be given with sensors.acceleration_offset_mps2; give it, or leave both out");
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
  check_sensors(v, out);
}

}  // namespace brakeward::compile
