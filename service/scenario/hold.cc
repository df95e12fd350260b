#include "scenario/hold.h"

#include "document/schema.h"

namespace brakeward::scenario {

void check_hold(const v1::Calibration& c, const std::string& file, document::Faults& faults) {
  if (!c.has_standstill_hold()) return;
  const v1::StandstillHold& h = c.standstill_hold();
  const v1::PressureControl& p = c.pressure_control();
  const auto bound = [&](const char* field, double value, const char* unit, bool at_most, const char* other,
                         double limit) {
    if (at_most ? value <= limit : value >= limit) return;
    faults.add({file, 0, 0, std::string("standstill_hold.") + field,
                document::with_unit(value, unit) + "; give at " + (at_most ? "most " : "least ") + other +
                    ", " + document::with_unit(limit, unit)});
  };
  bound("rolls_above_kph", h.rolls_above_kph(), "km/h", false, "standstill_hold.standing_below_kph",
        h.standing_below_kph());
  bound("limit_bar", h.limit_bar(), "bar", true, "pressure_control.demand_limit_bar", p.demand_limit_bar());
  bound("release_rate_bar_per_s", h.release_rate_bar_per_s(), "bar/s", true,
        "pressure_control.fall_limit_bar_per_s", p.fall_limit_bar_per_s());
}

}  // namespace brakeward::scenario
