#include "compile/check_parts.h"
#include "compile/parts.h"
#include "document/schema.h"

namespace brakeward::compile {
namespace {

void check_differential(bool is_given, bool is_driven, const char* axle, const VehicleFaults& out) {
  if (!is_given || is_driven) return;
  out.add("driveline." + std::string(axle) + "_differential",
          "the " + std::string(axle) +
              " wheels are not driven, so that nothing joins them; take it out or correct driveline.layout");
}

void check_battery(const v1::Driveline& d, const VehicleFaults& out) {
  const bool has_motor = d.has_front_motor() || d.has_rear_motor();
  if (has_motor && !d.has_battery())
    out.add(d.has_front_motor() ? "driveline.front_motor" : "driveline.rear_motor",
            "the motor has no battery; add driveline.battery");
  if (d.has_battery() && !has_motor)
    out.add(
        "driveline.battery",
        "there is no motor to feed it; take it out, or add driveline.front_motor or driveline.rear_motor");
}

// The torque on lifting off is within what the motor has.
void check_motor(const v1::Motor& m, const std::string& at, const VehicleFaults& out) {
  if (m.coast_torque_nm() <= m.peak_torque_nm()) return;
  out.add(at + ".coast_torque_nm", document::with_unit(m.coast_torque_nm(), "N m") +
                                       " is more than the motor's peak torque, " +
                                       document::with_unit(m.peak_torque_nm(), "N m") + "; lower it");
}

}  // namespace

void check_driveline(const v1::Driveline& d, const VehicleFaults& out) {
  check_differential(d.has_front_differential(), drives_front(d), "front", out);
  check_differential(d.has_rear_differential(), drives_rear(d), "rear", out);
  check_battery(d, out);
  check_motor(d.front_motor(), "driveline.front_motor", out);
  check_motor(d.rear_motor(), "driveline.rear_motor", out);
}

}  // namespace brakeward::compile
