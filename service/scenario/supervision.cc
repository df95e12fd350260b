#include "scenario/supervision.h"

#include "document/schema.h"

namespace brakeward::scenario {
namespace {

using document::with_unit;

// The request's time-out against the vehicle's bus.
void check_timeout(const v1::Supervision& s, const v1::Vehicle& v, const auto& add) {
  if (!v.sensors().has_bus_period_ms()) {
    add("request_timeout_ms", "has no effect, because vehicle \"" + v.name() +
                                  "\" has no sensors.bus_period_ms; set it in the vehicle document, or leave "
                                  "this out");
    return;
  }
  const double least = v.sensors().bus_period_ms() + v.sensors().bus_delay_ms();
  if (s.request_timeout_ms() <= least)
    add("request_timeout_ms",
        with_unit(s.request_timeout_ms(), "ms") + "; messages of vehicle \"" + v.name() +
            "\" come this far apart or late, so give more than sensors.bus_period_ms and "
            "sensors.bus_delay_ms together, " +
            with_unit(least, "ms"));
  if (!s.has_pedal_released_below_n())
    add("pedal_released_below_n",
        "must be given together with supervision.request_timeout_ms: after a time-out the pedal is re-armed "
        "once "
        "it is released");
}

}  // namespace

void check_supervision(const v1::Calibration& c, const v1::Vehicle& v, const std::string& file,
                       document::Faults& faults) {
  const v1::Supervision& s = c.supervision();
  const auto add = [&](const std::string& field, const std::string& text) {
    faults.add({file, 0, 0, "supervision." + field, text});
  };
  const auto together = [&](bool first, const char* a, bool second, const char* b) {
    if (first == second) return;
    add(first ? b : a, std::string("must be given together with supervision.") + (first ? a : b) +
                           "; give it, or leave both out");
  };
  together(s.has_wheel_speed_drop_mps2(), "wheel_speed_drop_mps2", s.has_wheel_speed_gap_percent(),
           "wheel_speed_gap_percent");
  together(s.has_pressure_error_bar(), "pressure_error_bar", s.has_pressure_error_ms(), "pressure_error_ms");
  const double rise = c.pressure_control().rise_limit_bar_per_s();
  if (s.has_rearm_rise_limit_bar_per_s() && s.rearm_rise_limit_bar_per_s() > rise)
    add("rearm_rise_limit_bar_per_s", with_unit(s.rearm_rise_limit_bar_per_s(), "bar/s") +
                                          "; give at most pressure_control.rise_limit_bar_per_s, " +
                                          with_unit(rise, "bar/s"));
  if (s.has_request_timeout_ms()) check_timeout(s, v, add);
}

}  // namespace brakeward::scenario
