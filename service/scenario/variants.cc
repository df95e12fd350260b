#include "scenario/variants.h"

#include <algorithm>
#include <set>

#include "document/schema.h"
#include "math/random.h"

namespace brakeward::scenario {
namespace {

constexpr double kMilli = 1e-3;
constexpr double kPercent = 1e-2;
constexpr double kMostDeviations = 3;

// One value of a condition.
struct Level {
  std::string name;  // empty: as the scenario has it
  void (*apply)(double value, Variant& out) = nullptr;
  double value = 0;
};
using Axis = std::vector<Level>;

void set_fluid(double celsius, Variant& v) {
  v.message.set_front_fluid_celsius(celsius);
  v.message.set_rear_fluid_celsius(celsius);
}

// Both values where there are two, else the one and the scenario's own.
void add_axis(std::vector<Axis>& out, bool has_low, Level low, bool has_high, Level high) {
  if (!has_low && !has_high) return;
  out.push_back({has_low ? std::move(low) : Level{}, has_high ? std::move(high) : Level{}});
}

std::vector<Axis> axes_of(const v1::Corners& c) {
  std::vector<Axis> out;
  const auto grip = [](double percent, Variant& v) { v.variation.grip = percent * kPercent; };
  add_axis(out, c.has_grip_low_percent(), {"grip_low", grip, c.grip_low_percent()}, c.has_grip_high_percent(),
           {"grip_high", grip, c.grip_high_percent()});
  const auto pads = [](double percent, Variant& v) { v.variation.pad_friction = percent * kPercent; };
  add_axis(out, c.has_pad_friction_low_percent(), {"pad_friction_low", pads, c.pad_friction_low_percent()},
           c.has_pad_friction_high_percent(), {"pad_friction_high", pads, c.pad_friction_high_percent()});
  const auto load = [](double kg, Variant& v) { v.message.set_cargo_kg(v.message.cargo_kg() + kg); };
  add_axis(out, false, {}, c.has_load_kg(), {"load", load, c.load_kg()});
  const auto cold = [](double celsius, Variant& v) {
    set_fluid(celsius, v);
    v.message.set_ambient_celsius(celsius);
  };
  add_axis(out, c.has_fluid_low_celsius(), {"fluid_low", cold, c.fluid_low_celsius()},
           c.has_fluid_high_celsius(), {"fluid_high", set_fluid, c.fluid_high_celsius()});
  const auto supply = [](double volts, Variant& v) { v.message.set_supply_volts(volts); };
  add_axis(out, c.has_supply_low_volts(), {"supply_low", supply, c.supply_low_volts()},
           c.has_supply_high_volts(), {"supply_high", supply, c.supply_high_volts()});
  const auto hand = [](double mm, Variant& v) { v.variation.hand_zero_m = mm * kMilli; };
  add_axis(out, c.has_hand_zero_mm(), {"hand_zero_low", hand, -c.hand_zero_mm()}, c.has_hand_zero_mm(),
           {"hand_zero_high", hand, c.hand_zero_mm()});
  const auto pedal = [](double n, Variant& v) { v.variation.pedal_zero_n = n; };
  add_axis(out, c.has_pedal_zero_n(), {"pedal_zero_low", pedal, -c.pedal_zero_n()}, c.has_pedal_zero_n(),
           {"pedal_zero_high", pedal, c.pedal_zero_n()});
  const auto charge = [](double percent, Variant& v) { v.message.set_battery_charge_percent(percent); };
  add_axis(out, false, {}, c.full_charge(), {"full_charge", charge, 100});
  return out;
}

Variant as_it_is(VariantKind kind, const v1::Scenario& s, const std::string& suffix) {
  Variant out;
  out.kind = kind;
  out.name = s.name() + "/" + suffix;
  out.message = s;
  out.message.set_name(out.name);
  out.message.clear_repeatability();
  return out;
}

void add_corners(const v1::Scenario& s, std::vector<Variant>& out) {
  const std::vector<Axis> axes = axes_of(s.repeatability().corners());
  if (axes.empty()) return;
  std::vector<size_t> at(axes.size(), 0);
  for (bool more = true; more;) {
    Variant corner = as_it_is(VariantKind::kCorner, s, "corner@");
    std::string names;
    for (size_t i = 0; i < axes.size(); ++i) {
      const Level& level = axes[i][at[i]];
      if (level.name.empty()) continue;
      level.apply(level.value, corner);
      names += (names.empty() ? "" : ",") + level.name;
    }
    corner.name += names.empty() ? "as_it_is" : names;
    corner.message.set_name(corner.name);
    out.push_back(std::move(corner));
    more = false;
    for (size_t i = axes.size(); i-- > 0 && !more;) {
      more = ++at[i] < axes[i].size();
      if (!more) at[i] = 0;
    }
  }
}

double deviation(math::Random& random, double standard) {
  return standard * std::clamp(random.normal(), -kMostDeviations, kMostDeviations);
}

void add_repeats(const v1::Scenario& s, std::vector<Variant>& out) {
  const v1::Repeatability& r = s.repeatability();
  for (int i = 1; i <= r.count(); ++i) {
    const std::string number = std::to_string(i);
    math::Random random(
        math::seed_from("repeat/" + s.name() + "/" + std::to_string(r.seed()) + "/" + number));
    Variant v = as_it_is(VariantKind::kRepeat, s, "repeat@" + number);
    v.variation.amplitude = 1 + deviation(random, r.amplitude_percent() * kPercent);
    v.variation.late_s = deviation(random, r.time_ms() * kMilli);
    out.push_back(std::move(v));
  }
}

void negate(v1::Curve* curve) {
  for (v1::CurvePoint& p : *curve->mutable_points()) p.set_y(-p.y() + 0.0);  // -0 becomes 0
}

v1::Wheel other_side(v1::Wheel w) {
  switch (w) {
    case v1::WHEEL_FRONT_LEFT:
      return v1::WHEEL_FRONT_RIGHT;
    case v1::WHEEL_FRONT_RIGHT:
      return v1::WHEEL_FRONT_LEFT;
    case v1::WHEEL_REAR_LEFT:
      return v1::WHEEL_REAR_RIGHT;
    case v1::WHEEL_REAR_RIGHT:
      return v1::WHEEL_REAR_LEFT;
    default:
      return w;
  }
}

template <class List>
void exchange_wheels(List* list) {
  for (auto& item : *list) item.set_wheel(other_side(item.wheel()));
}

Variant mirrored(const v1::Scenario& s) {
  Variant out = as_it_is(VariantKind::kMirrored, s, "mirrored");
  v1::Road* road = out.message.mutable_road();
  if (road->has_friction_right()) road->mutable_friction_left()->Swap(road->mutable_friction_right());
  if (road->has_bump_right()) road->mutable_bump_left()->Swap(road->mutable_bump_right());
  if (road->has_banking()) negate(road->mutable_banking());
  if (road->has_path_curvature()) negate(road->mutable_path_curvature());
  if (out.message.steering().has_angle_degrees())
    negate(out.message.mutable_steering()->mutable_angle_degrees());
  exchange_wheels(out.message.mutable_caliper_air());
  exchange_wheels(out.message.mutable_knock_back());
  exchange_wheels(out.message.mutable_faults());
  return out;
}

Variant by_pedal(const v1::Scenario& s) {
  Variant out = as_it_is(VariantKind::kPedal, s, "pedal");
  v1::SyntheticInput* input = out.message.mutable_synthetic();
  input->set_control(v1::REQUEST_CONTROL_PEDAL);
  input->set_force_n(s.feel().pedal_force_n());
  out.message.mutable_feel()->clear_pedal_force_n();
  out.message.set_selected_control(v1::REQUEST_CONTROL_PEDAL);
  return out;
}

bool has_sides(const v1::Scenario& s) {
  const v1::Road& r = s.road();
  return r.has_friction_right() || r.has_bump_right() || r.has_banking() || r.has_path_curvature() ||
         s.has_steering();
}

int count_corners(const v1::Corners& c) {
  const std::vector<Axis> axes = axes_of(c);
  int count = axes.empty() ? 0 : 1;
  for (const Axis& axis : axes) count *= static_cast<int>(axis.size());
  return count;
}

// One scenario's faults of what it asks for besides its own replay.
class RepeatabilityCheck {
 public:
  RepeatabilityCheck(const v1::Scenario& s, const v1::Vehicle& v, const std::string& file,
                     document::Faults& faults)
      : s_(s), r_(s.repeatability()), v_(v), file_(file), faults_(faults) {}

  void run() {
    if (s_.entry_point() != v1::ENTRY_POINT_REQUEST)
      add("",
          "the scenario is replayed from line pressure, where the request has no part; take one with "
          "ENTRY_POINT_REQUEST");
    if (count_variants(s_) == (s_.feel().has_pedal_force_n() ? 1 : 0))
      add("", "asks for no replay; give count, balance_steps, mirrored or corners, or leave it out");
    check_count();
    check_steps();
    if (r_.mirrored() && !has_sides(s_))
      add(".mirrored",
          "left and right are alike in this scenario; give it a bend, a banking, friction or "
          "bumps of one side, or steering");
    check_corners();
  }

 private:
  void add(const std::string& at, const std::string& text) {
    faults_.add({file_, 0, 0, "repeatability" + at, text});
  }

  void check_count() {
    const bool noise = r_.amplitude_percent() > 0 || r_.time_ms() > 0;
    if (r_.count() == 1)
      add(".count", "1; a spread needs at least 2 repetitions");
    else if (r_.count() > 0 && !noise)
      add(".amplitude_percent",
          "0, and time_ms is 0 too; repetitions without noise are all the same: give "
          "one of them");
    else if (r_.count() == 0 && noise)
      add(".count", "0; noise is of repetitions: give their number, at least 2");
  }

  void check_steps() {
    std::set<std::string> seen;
    for (int i = 0; i < r_.balance_steps_size(); ++i)
      if (!seen.insert(r_.balance_steps(i)).second)
        add(".balance_steps[" + std::to_string(i) + "]",
            "\"" + r_.balance_steps(i) + "\" is listed twice; leave one out");
    if (r_.balance_steps_size() == 1)
      add(".balance_steps", "a range needs at least 2 steps; give another, or leave it out");
  }

  void check_corners() {
    if (!r_.has_corners()) return;
    const v1::Corners& c = r_.corners();
    const int count = count_corners(c);
    if (count == 0) add(".corners", "no condition is given; give at least one, or leave it out");
    if (count > kMostCorners)
      add(".corners", std::to_string(count) + " corners, of which a matrix may have " +
                          std::to_string(kMostCorners) + "; take fewer conditions");
    order(c.has_fluid_low_celsius() && c.has_fluid_high_celsius(), "fluid_low_celsius", c.fluid_low_celsius(),
          "fluid_high_celsius", c.fluid_high_celsius(), "degC");
    order(c.has_supply_low_volts() && c.has_supply_high_volts(), "supply_low_volts", c.supply_low_volts(),
          "supply_high_volts", c.supply_high_volts(), "V");
    if (c.has_fluid_low_celsius() && (c.fluid_low_celsius() < -40 || c.fluid_low_celsius() > 60))
      add(".corners.fluid_low_celsius", document::with_unit(c.fluid_low_celsius(), "degC") +
                                            "; the air has it too: use a value from -40 degC to 60 degC");
    const bool supply = c.has_supply_low_volts() || c.has_supply_high_volts();
    if (supply && !v_.has_pedal_path() && !v_.front_actuator().has_nominal_supply_volts())
      lacking(c.has_supply_low_volts() ? "supply_low_volts" : "supply_high_volts",
              "front_actuator.nominal_supply_volts");
    if (c.full_charge() && !v_.driveline().has_front_motor() && !v_.driveline().has_rear_motor())
      lacking("full_charge", "driveline.front_motor and no driveline.rear_motor");
  }

  void order(bool both, const char* low_field, double low, const char* high_field, double high,
             const char* unit) {
    if (!both || low < high) return;
    add(std::string(".corners.") + high_field, document::with_unit(high, unit) + " is not above " +
                                                   low_field + ", " + document::with_unit(low, unit) +
                                                   "; give a higher value");
  }

  void lacking(const std::string& field, const std::string& what) {
    add(".corners." + field, "has no effect, because vehicle \"" + v_.name() + "\" has no " + what +
                                 "; set it in the vehicle document, or leave this out");
  }

  const v1::Scenario& s_;
  const v1::Repeatability& r_;
  const v1::Vehicle& v_;
  const std::string& file_;
  document::Faults& faults_;
};

}  // namespace

std::vector<Variant> variants_of(const v1::Scenario& s) {
  std::vector<Variant> out;
  add_repeats(s, out);
  for (const std::string& step : s.repeatability().balance_steps()) {
    out.push_back(as_it_is(VariantKind::kStep, s, "step@" + step));
    out.back().message.set_balance_step(step);
  }
  if (s.repeatability().mirrored()) out.push_back(mirrored(s));
  add_corners(s, out);
  if (s.feel().has_pedal_force_n()) out.push_back(by_pedal(s));
  return out;
}

int count_variants(const v1::Scenario& s) {
  const v1::Repeatability& r = s.repeatability();
  return r.count() + r.balance_steps_size() + (r.mirrored() ? 1 : 0) + count_corners(r.corners()) +
         (s.feel().has_pedal_force_n() ? 1 : 0);
}

void check_repeatability(const v1::Scenario& s, const v1::Vehicle& v, const std::string& file,
                         document::Faults& faults) {
  if (s.has_repeatability()) RepeatabilityCheck(s, v, file, faults).run();
}

}  // namespace brakeward::scenario
