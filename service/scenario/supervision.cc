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

void check_overlap(const v1::AcceleratorOverlap& o, const auto& add) {
  if (o.released_below_percent() > o.accelerator_percent())
    add("accelerator_overlap.released_below_percent",
        with_unit(o.released_below_percent(), "%") +
            "; give at most accelerator_overlap.accelerator_percent, " +
            with_unit(o.accelerator_percent(), "%"));
}

// The accelerometer is the vehicle's.
void check_reference(const v1::Vehicle& v, const auto& add) {
  if (!v.sensors().has_acceleration_step_mps2())
    add("slip_limit.reference_margin_mps2",
        "has no effect, because vehicle \"" + v.name() +
            "\" has no sensors.acceleration_step_mps2; set it in the vehicle document, or leave this out");
}

// The controller's supply is that of the actuators.
void check_power_up(const v1::Calibration& c, const v1::Vehicle& v, const auto& add) {
  const v1::PowerUp& p = c.power_up();
  const double nominal = v.front_actuator().nominal_supply_volts();
  if (!v.front_actuator().has_nominal_supply_volts())
    add("power_up", "has no effect, because vehicle \"" + v.name() +
                        "\" has no front_actuator.nominal_supply_volts; set it in the vehicle document, or "
                        "leave this out");
  else if (p.running_above_volts() >= nominal)
    add("power_up.running_above_volts",
        with_unit(p.running_above_volts(), "V") +
            ", so that the controller never runs; give less than front_actuator.nominal_supply_volts of "
            "vehicle \"" +
            v.name() + "\", " + with_unit(nominal, "V"));
  if (p.moving_self_test_ms() > p.self_test_ms())
    add("power_up.moving_self_test_ms", with_unit(p.moving_self_test_ms(), "ms") +
                                            "; give at most power_up.self_test_ms, " +
                                            with_unit(p.self_test_ms(), "ms"));
  if (!c.supervision().has_pedal_released_below_n())
    add("supervision.pedal_released_below_n",
        "must be given together with power_up: after a restart the pedal is re-armed once it is released");
}

}  // namespace

void check_supervision(const v1::Calibration& c, const v1::Vehicle& v, const std::string& file,
                       document::Faults& faults) {
  const v1::Supervision& s = c.supervision();
  const auto add_at = [&](const std::string& address, const std::string& text) {
    faults.add({file, 0, 0, address, text});
  };
  const auto add = [&](const std::string& field, const std::string& text) {
    add_at("supervision." + field, text);
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
  if (c.slip_limit().has_reference_margin_mps2()) check_reference(v, add_at);
  if (c.has_accelerator_overlap()) check_overlap(c.accelerator_overlap(), add_at);
  if (c.has_power_up()) check_power_up(c, v, add_at);
}

}  // namespace brakeward::scenario
