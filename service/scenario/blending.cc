#include "scenario/blending.h"

#include "document/schema.h"

namespace brakeward::scenario {

void check_blending(const v1::Calibration& c, const v1::Vehicle& v, const std::string& file,
                    document::Faults& faults) {
  if (!c.has_blending()) return;
  const v1::Blending& b = c.blending();
  const auto motor = [&](bool asked, bool there, const std::string& axle) {
    if (asked && !there)
      faults.add({file, 0, 0, "blending." + axle,
                  "has no effect, because vehicle \"" + v.name() + "\" has no driveline." + axle +
                      "_motor; set it in the vehicle document, or leave this out"});
  };
  motor(b.has_front(), v.driveline().has_front_motor(), "front");
  motor(b.has_rear(), v.driveline().has_rear_motor(), "rear");
  if (b.fade_to_kph() >= b.fade_from_kph())
    faults.add({file, 0, 0, "blending.fade_to_kph",
                document::with_unit(b.fade_to_kph(), "km/h") + "; give less than blending.fade_from_kph, " +
                    document::with_unit(b.fade_from_kph(), "km/h")});
}

}  // namespace brakeward::scenario
