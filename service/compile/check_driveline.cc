#include "compile/check_parts.h"
#include "compile/parts.h"

namespace brakeward::compile {
namespace {

void check_differential(bool is_given, bool is_driven, const char* axle, const VehicleFaults& out) {
  if (!is_given || is_driven) return;
  out.add("driveline." + std::string(axle) + "_differential",
          "the " + std::string(axle) +
              " wheels are not driven, so that nothing joins them; take it out or correct driveline.layout");
}

}  // namespace

void check_driveline(const v1::Driveline& d, const VehicleFaults& out) {
  check_differential(d.has_front_differential(), drives_front(d), "front", out);
  check_differential(d.has_rear_differential(), drives_rear(d), "rear", out);
}

}  // namespace brakeward::compile
