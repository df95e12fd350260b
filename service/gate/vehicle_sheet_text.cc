#include <cmath>
#include <cstdio>

#include "document/text.h"
#include "gate/put_line.h"
#include "gate/vehicle_sheet.h"
#include "gate/vehicle_sheet_car.h"
#include "math/constants.h"
#include "report/text.h"
#include "verdict/number.h"

namespace brakeward::gate {
namespace {

constexpr size_t kColumns = 110;
constexpr double kKph = 3.6, kPercent = 100, kPerBar = 1e-5, kPerCubicCentimetre = 1e6, kMilli = 1e3;

void put_wrapped(std::string& out, const std::string& text, const char* indent = "") {
  const std::string clean = document::clean(text);
  for (const std::string& line : report::wrap(clean, kColumns - std::string_view(indent).size()))
    out += indent + line + "\n";
}

// As wide as `width`, cut with "..." where it is longer.
std::string cell(const std::string& text, size_t width) {
  std::string out = document::clean(text);
  if (report::width_of(out) > width) {
    while (report::width_of(out) > width - 3) {
      while ((out.back() & 0xC0) == 0x80) out.pop_back();
      out.pop_back();
    }
    out += "...";
  }
  return out + std::string(width - report::width_of(out), ' ');
}

std::string number(double x, int decimals) {
  return std::isinf(x) ? "lifted" : verdict::format_number(x, decimals);
}

const char* word(signal::Axle a) {
  return a == signal::kFront ? "front" : "rear";
}

const SheetBalance& balance_in_use(const VehicleSheet& s) {
  for (const SheetBalance& b : s.steps)
    if (b.name == s.distribution) return b;
  return s.equal_pressures;
}

void put_head(std::string& out, const VehicleSheet& s) {
  put_wrapped(out, "Vehicle sheet: " + s.name);
  put_wrapped(out, s.provenance, "  ");
  put_line(out, "  Level road, discs at %.0f degC, air of %.2f kg/m^3 wherever nothing else is said.",
           s.disc_celsius, s.air_density_kg_per_m3);
  out +=
      "  From the parameters a replay runs on; evidence for an engineer, no release for road or track.\n\n";
  put_line(out, "Body");
  put_line(out, "  mass                  %9.0f kg   driver aboard, %.0f kg of cargo at the centre of gravity",
           s.mass_kg, s.cargo_kg);
  put_line(out, "  wheelbase             %9.3f m", s.wheelbase_m);
  put_line(out, "  centre of gravity     %9.3f m    behind the front axle, %.3f m above the road",
           s.cog_behind_front_axle_m, s.cog_height_m);
  put_line(out, "  front load at rest    %9.1f %%", s.static_front_share * kPercent);
  put_line(out, "  circuits and actuators          %s, %s, %s",
           s.layout.diagonal ? "diagonal" : "front and rear",
           s.layout.shared_actuator ? "one actuator for both" : "an actuator each",
           s.layout.wheel_valves ? "valves per wheel" : "no valves per wheel");
  put_line(out, "  engine braking        %9.0f N    at the tyres, accelerator released: %.3f g", s.coasting_n,
           s.coasting_n / (s.mass_kg * math::kGravity));
  put_line(out, "  wheels' inertia       %9.1f %%    of the car's mass", s.rotating_mass_share * kPercent);
}

void put_loads(std::string& out, const VehicleSheet& s) {
  out += "\nAxle loads in N, both wheels (0.0 g: driven at a steady speed)\n";
  std::string speeds = "                            no air", axles = "  deceleration, g    front     rear";
  std::string drag = "  drag                           -", lift = "  downforce              -        -";
  const auto append = [](std::string& line, const char* format, auto... values) {
    char text[64];
    std::snprintf(text, sizeof text, format, values...);
    line += text;
  };
  for (const SheetSpeed& v : s.speeds) {
    append(speeds, "%15.0f km/h", v.speed_mps * kKph);
    append(axles, "%11s%9s", "front", "rear");
    append(drag, "%20.0f", v.drag_n);
    append(lift, "%11s%9s", number(v.downforce_n.front(), 0).c_str(),
           number(v.downforce_n.rear(), 0).c_str());
  }
  out += speeds + "\n" + axles + "\n";
  for (size_t i = 0; i < s.loads.size();) {
    const double g = s.loads[i].deceleration_g;
    std::string line;
    append(line, "%14.1f", g);
    for (; i < s.loads.size() && s.loads[i].deceleration_g == g; ++i)
      append(line, "%11.0f%9.0f", s.loads[i].load_n.front(), s.loads[i].load_n.rear());
    out += line + "\n";
  }
  out += drag + "\n" + lift + "\n";
}

// "rear 0.16 (0.11) front 1.18 (0.98) rear".
std::string order_text(const LockOrder& order, bool with_road) {
  signal::Axle first = order.first;
  if (order.changes.empty()) return std::string(word(first)) + " always";
  std::string out = word(first);
  for (const LockOrder::Change& c : order.changes) {
    out += " " + number(c.deceleration_g, with_road ? 2 : 3);
    if (with_road) out += " (" + number(c.road_friction, 2) + ")";
    first = first == signal::kFront ? signal::kRear : signal::kFront;
    out += std::string(" ") + word(first);
  }
  return out;
}

std::string first_lock_text(const SheetBalance& b) {
  if (b.first_lock_deceleration_g > 0.999 * kLargest_g) return "none to " + number(kLargest_g, 0);
  return std::string(word(b.first_lock)) + " at " + number(b.first_lock_deceleration_g, 2);
}

void put_balance_row(std::string& out, const std::string& name, const SheetBalance& b) {
  put_line(out, "  %s%8.1f%7.1f  %s %s %s", cell(name, 15).c_str(), b.front_pressure_share * kPercent,
           b.front_force_share * kPercent, cell(order_text(b.plain, false), 18).c_str(),
           cell(order_text(b.replayed[1], true), 40).c_str(), first_lock_text(b).c_str());
}

void put_balance(std::string& out, const VehicleSheet& s) {
  out +=
      "\nBalance: front share at 0.5 g; the axle that locks first, and the deceleration in g where that "
      "changes\n";
  put_line(out, "  %-14s%16s  %-19s%-41s%s", "", "front share, %", "brakes alone,",
           "as replayed at 100 km/h, g", "first lock on");
  put_line(out, "  %-14s%9s%7s  %-19s%-41s%s", "distribution", "pressure", "force", "g", "(road factor)",
           "road 1, g");
  put_balance_row(out, "equal pressures", s.equal_pressures);
  for (const SheetBalance& b : s.steps) put_balance_row(out, "step " + b.name, b);
  const std::string name = s.steps.empty() ? "equal pressures" : "step in use, " + s.distribution;
  for (size_t i = 0; i < s.speeds.size(); ++i)
    put_wrapped(out,
                "As replayed at " + number(s.speeds[i].speed_mps * kKph, 0) + " km/h, " + name + ": " +
                    order_text(balance_in_use(s).replayed[i], true),
                "  ");
  put_wrapped(
      out,
      "\"front 0.64 rear\": the front axle locks first up to 0.64 g, the rear axle above. Brakes alone: "
      "equal grip on both axles, no air. As replayed: accelerator released, with drag, downforce, engine "
      "braking, rolling resistance, wheel inertia and the tyres' grip over load; no slip limiter. Discs that "
      "warm up unequally move the balance.",
      "  ");
  if (s.calibration.empty())
    out += "  No calibration given: nothing is said about balance steps (--calibration FILE).\n";
}

std::string in_use(const VehicleSheet& s) {
  if (s.calibration.empty()) return "equal pressures";
  return "calibration " + s.calibration + ", step " + s.distribution;
}

void put_utilization(std::string& out, const VehicleSheet& s) {
  out += "\n";
  put_wrapped(out, "Adhesion utilization, brakes alone, no air: " + in_use(s));
  put_line(out, "  %12s%14s%16s%10s%10s%12s", "deceleration", "ideal front", "installed front", "f1", "f2",
           "locks first");
  put_line(out, "  %12s%14s%16s%10s%10s", "g", "%", "%", "front", "rear");
  for (const SheetUtilization& u : s.utilization)
    put_line(out, "  %12.1f%14.1f%16.1f%10s%10s%12s", u.deceleration_g, u.ideal_front_share * kPercent,
             u.front_share * kPercent, number(u.adhesion.front(), 3).c_str(),
             number(u.adhesion.rear(), 3).c_str(),
             u.adhesion.front() >= u.adhesion.rear() ? "front" : "rear");
  out +=
      "  f = braking force over load of the axle; the car locks on tyres with less friction than the "
      "larger.\n";
  out +=
      "  Note on M1 and N1 cars, UN R13-H Annex 5, for this load alone; formulas from memory, no approval:\n";
  if (s.least_margin_friction > 0)
    put_line(
        out,
        "    z >= 0.1 + 0.7 (k - 0.2) for k 0.2 to 0.8: least margin %+.3f, z %.2f where an axle uses k %.2f",
        s.least_margin_deceleration_g - (0.1 + 0.7 * (s.least_margin_friction - 0.2)),
        s.least_margin_deceleration_g, s.least_margin_friction);
  if (s.rear_above_front_from_g > 0)
    put_line(out,
             "    f2 not above f1 for z 0.15 to 0.80 (N1: to 0.50): NOT kept, f2 is above f1 from z %.2f",
             s.rear_above_front_from_g);
  else
    out += "    f2 not above f1 for z 0.15 to 0.80 (N1: to 0.50): kept\n";
}

void put_pressures(std::string& out, const VehicleSheet& s) {
  out += "\n";
  put_wrapped(out, "Pressure and fluid: " + in_use(s));
  put_line(out, "  %-31s%17s%17s%19s%19s", "", "pressure, bar", "volume, cm^3", "of stall, %",
           "of stroke, %");
  put_line(out, "  %-31s%9s%8s%9s%8s%11s%8s%11s%8s", "deceleration", "front", "rear", "front", "rear",
           "front", "rear", "front", "rear");
  bool beyond = false;
  for (const SheetPressure& p : s.pressures) {
    char name[64];
    if (p.speed_mps > 0)
      std::snprintf(name, sizeof name, "%.1f g, as replayed, %.0f km/h", p.deceleration_g,
                    p.speed_mps * kKph);
    else
      std::snprintf(name, sizeof name, "%.1f g, brakes alone, no air", p.deceleration_g);
    put_line(out, "  %-31s%9.1f%8.1f%9.2f%8.2f%11.0f%8.0f%11.0f%8.0f", name, p.pressure_pa.front() * kPerBar,
             p.pressure_pa.rear() * kPerBar, p.volume_m3.front() * kPerCubicCentimetre,
             p.volume_m3.rear() * kPerCubicCentimetre, p.stall_share.front() * kPercent,
             p.stall_share.rear() * kPercent, p.volume_share.front() * kPercent,
             p.volume_share.rear() * kPercent);
    for (int a = 0; a < signal::kAxles; ++a)
      beyond = beyond || p.stall_share.axle[a] > 1 || p.volume_share.axle[a] > 1;
  }
  put_line(
      out,
      "  Actuators end at %.1f bar front, %.1f bar rear: stall pressure, or the pressure at full stroke.",
      s.pressure_limit_pa.front() * kPerBar, s.pressure_limit_pa.rear() * kPerBar);
  const SheetBalance& used = balance_in_use(s);
  if (used.first_lock_deceleration_g < s.pressures.back().deceleration_g)
    put_line(
        out,
        "  On road factor 1 the %s axle locks at %.2f g already: more is a matter of better tyres or roads.",
        word(used.first_lock), used.first_lock_deceleration_g);
  if (beyond) out += "  MORE THAN 100 %: the actuators cannot brake this car that hard.\n";
}

void put_foot(std::string& out, const VehicleSheet& s) {
  out += "\nThe pedal alone, the by-wire unit without power\n";
  if (s.foot.empty()) {
    out += "  The pedal has no hydraulic way to the brakes: without power NOTHING brakes this car.\n";
    return;
  }
  put_line(out, "  %-14s%17s%17s%23s%18s%14s", "", "pressure, bar", "of stroke, %", "deceleration, g",
           "travel, mm", "with power");
  put_line(out, "  %-14s%9s%8s%9s%8s%23s", "pedal force", s.layout.diagonal ? "FL RR" : "front",
           s.layout.diagonal ? "FR RL" : "rear", s.layout.diagonal ? "FL RR" : "front",
           s.layout.diagonal ? "FR RL" : "rear", "brakes alone, no air");
  for (const SheetFoot& f : s.foot) {
    char name[32];
    std::snprintf(name, sizeof name, "%.0f N", f.pedal_force_n);
    put_line(out, "  %-14s%9.1f%8.1f%9.0f%8.0f%23.2f%18.0f%14s", name, f.pressure_pa.front() * kPerBar,
             f.pressure_pa.rear() * kPerBar, f.stroke_share.front() * kPercent,
             f.stroke_share.rear() * kPercent, f.deceleration_g, f.travel_m * kMilli,
             f.simulator_travel_m > 0 ? verdict::format_number(f.simulator_travel_m * kMilli, 0).c_str()
                                      : "not known");
  }
  out += "  A hand request has no hydraulic way: without power the hand control does not brake.\n";
}

std::string time_text(double seconds) {
  return seconds < 0 ? "not in 2 s" : verdict::format_number(seconds * kMilli, 0);
}

void put_response(std::string& out, const VehicleSheet& s) {
  out += "\nTime from request to 90 % of the pressure in ms: replayed step at 100 km/h, pressures as above\n";
  put_line(out, "  %-15s%24s%38s", "", "hardware alone", s.calibration.empty() ? "" : "with the calibration");
  put_line(out, "  %-15s%12s%12s%26s%12s", "deceleration", "front", "rear",
           s.calibration.empty() ? "" : "front", s.calibration.empty() ? "" : "rear");
  for (const SheetResponse& r : s.responses) {
    char name[32];
    std::snprintf(name, sizeof name, "%.1f g", r.deceleration_g);
    const bool tuned = !s.calibration.empty();
    put_line(out, "  %-15s%12s%12s%26s%12s", name, time_text(r.hardware_s.front()).c_str(),
             time_text(r.hardware_s.rear()).c_str(), tuned ? time_text(r.calibration_s.front()).c_str() : "",
             tuned ? time_text(r.calibration_s.rear()).c_str() : "");
  }
  out += "  Hardware alone: the pressure commanded at once; no filter, rise limit, prefill or feedback.\n";
  if (s.calibration.empty()) out += "  No calibration given: nothing is said about its own delays.\n";
}

void put_heat(std::string& out, const VehicleSheet& s) {
  out += "\n";
  put_wrapped(out, "Heat: " + in_use(s));
  put_line(
      out,
      "  disc heat capacity, both wheels: front %.2f kJ/K, rear %.2f kJ/K; front share of the work %.1f %%",
      s.heat_capacity_j_per_k.front() / kMilli, s.heat_capacity_j_per_k.rear() / kMilli,
      s.heat_front_share * kPercent);
  put_line(out, "  %-18s%14s%24s%24s", "one stop from", "energy, kJ", "front disc rise, K",
           "rear disc rise, K");
  for (const SheetHeat& h : s.heat) {
    char name[32];
    std::snprintf(name, sizeof name, "%.0f km/h", h.speed_mps * kKph);
    put_line(out, "  %-18s%14.0f%24.0f%24.0f", name, h.energy_j / kMilli, h.rise_k.front(), h.rise_k.rear());
  }
  put_line(
      out,
      "  1/2 m v^2 into the brakes, none lost to air, engine or rolling; the wheels' own energy would add "
      "%.1f %%.",
      s.rotating_mass_share * kPercent);
  if (s.fluid_boils_celsius > 0)
    put_line(out, "  The fluid boils at %.0f degC at the air's pressure.", s.fluid_boils_celsius);
}

std::string grade_text(double grade) {
  return grade >= 0.999 * kSteepest ? "> 200" : verdict::format_number(grade * kPercent, 1);
}

void put_grades(std::string& out, const VehicleSheet& s) {
  out += "\nSteepest grade held at rest in %: actuators at their limit, tyres at their peak\n";
  put_line(out, "  %-13s%21s%21s%21s", "", "front brakes", "rear brakes", "all brakes");
  put_line(out, "  %-13s%12s%9s%12s%9s%12s%9s", "road factor", "uphill", "down", "uphill", "down", "uphill",
           "down");
  for (const SheetGrade& g : s.grades)
    put_line(out, "  %-13s%12s%9s%12s%9s%12s%9s", verdict::format_number(g.road_friction, 1).c_str(),
             grade_text(g.one_axle_uphill.front()).c_str(), grade_text(g.one_axle_downhill.front()).c_str(),
             grade_text(g.one_axle_uphill.rear()).c_str(), grade_text(g.one_axle_downhill.rear()).c_str(),
             grade_text(g.all_uphill).c_str(), grade_text(g.all_downhill).c_str());
  out += "  The way the car points. Needs pressure: by-wire brakes hold only as long as it is kept.\n";
}

}  // namespace

std::string render(const VehicleSheet& sheet) {
  std::string out;
  put_head(out, sheet);
  put_loads(out, sheet);
  put_balance(out, sheet);
  put_utilization(out, sheet);
  put_pressures(out, sheet);
  put_foot(out, sheet);
  put_response(out, sheet);
  put_heat(out, sheet);
  put_grades(out, sheet);
  return out;
}

}  // namespace brakeward::gate
