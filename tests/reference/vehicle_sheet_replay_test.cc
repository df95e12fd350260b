// The vehicle sheet against replays of the car it describes: which axle locks first, what pressures do.
#include <algorithm>
#include <cmath>

#include "compile/compile.h"
#include "document/defaults.h"
#include "reference/vehicle_sheet_cars.h"
#include "replay/replay.h"
#include "signal/observables.h"

namespace brakeward::gate {
namespace {

constexpr double kG = 9.80665;  // m/s^2, standard gravity

v1::Calibration equal_pressures() {
  v1::Calibration c = tests::demo_document<v1::Calibration>("sorrel/calibrations/released.textproto");
  c.mutable_balance()->clear_steps();
  c.mutable_balance()->add_steps()->set_front_percent(50);
  c.mutable_balance()->mutable_steps(0)->set_name("0");
  c.mutable_balance()->clear_speed_trim();
  c.mutable_balance()->clear_demand_trim();
  return c;
}

// A slow ramp of the pedal on a road of this friction, accelerator released, slip limiter off.
replay::Trace ramp(const v1::Vehicle& v, const v1::Calibration& c, double road, double force_n) {
  v1::Scenario s;
  s.set_name("ramp");
  s.mutable_synthetic()->set_shape(v1::SYNTHETIC_SHAPE_RAMP);
  s.mutable_synthetic()->set_control(v1::REQUEST_CONTROL_PEDAL);
  s.mutable_synthetic()->set_force_n(force_n);
  s.mutable_synthetic()->set_rise_s(3);
  s.set_entry_point(v1::ENTRY_POINT_REQUEST);
  s.set_end_rule(v1::END_RULE_END_OF_INPUT);
  s.set_initial_speed_kph(120);
  set_constant(s.mutable_road()->mutable_friction_left(), road);
  document::resolve_defaults(&s);
  auto made = compile::compile({v, c, c, s});
  EXPECT_TRUE(made.ok()) << made.status();
  for (double& slip : made->plan.params.control.slip.release_slip) slip = 2;
  return replay::trace(made->plan);
}

// Slip at the peak of the Magic Formula (Pacejka 2006, 4.3.2): C atan(B k - E (B k - atan B k)) = pi / 2.
double peak_slip(const v1::Tyre& t, double load, double road) {
  const double df = load / t.nominal_load_n() - 1;
  const double stiffness = load * (t.p_kx1() + t.p_kx2() * df) * std::exp(t.p_kx3() * df);
  const double b = stiffness / (t.p_cx1() * road * load * (t.p_dx1() + t.p_dx2() * df));
  const double e = std::min(1.0, t.p_ex1() + t.p_ex2() * df + t.p_ex3() * df * df);
  double low = 0, high = 5;
  for (int i = 0; i < 60; ++i) {
    const double x = b * 0.5 * (low + high);
    (t.p_cx1() * std::atan(x - e * (x - std::atan(x))) > 0.5 * M_PI ? high : low) = 0.5 * (low + high);
  }
  return low;
}

// The axle that first slips beyond its tyres' peak, from where nothing but a release brings it back.
int first_beyond_peak(const replay::Trace& trace, const v1::Vehicle& v, double road) {
  const size_t slip[] = {signal::column_of("brake_slip_front_left"),
                         signal::column_of("brake_slip_rear_left")};
  const size_t load[] = {signal::column_of("load_front_left"), signal::column_of("load_rear_left")};
  const v1::Tyre* tyres[] = {&v.front_tyre(), &v.rear_tyre()};
  for (size_t i = 0; i < static_cast<size_t>(trace.ticks); ++i) {
    const double* row = &trace.rows[i * signal::kObservableCount];
    for (int a = 0; a < signal::kAxles; ++a)
      if (row[slip[a]] > peak_slip(*tyres[a], row[load[a]], road)) return a;
  }
  return -1;
}

// On roads between the changes that the sheet names, a replay locks the axle that the sheet says. The ramp
// needs time: in the 3 s it takes, the brakes' torque grows on while the first wheel still turns down, the
// car slows from 120 km/h, and its load transfer lags. The roads are taken 20 % off the changes.
void expect_order(const v1::Vehicle& v, const v1::Calibration& c, const LockOrder& order, double force_n) {
  int first = order.first;
  for (size_t i = 0; i <= order.changes.size(); ++i, first = 1 - first) {
    const double low = i == 0 ? 0 : 1.20 * order.changes[i - 1].road_friction;
    const double high = i == order.changes.size() ? 1e9 : order.changes[i].road_friction / 1.20;
    for (const double road : {low, high}) {
      if (road <= 0 || road > 2 || low > high) continue;
      EXPECT_EQ(first_beyond_peak(ramp(v, c, road, force_n * road), v, road), first)
          << v.name() << " on road factor " << road;
    }
  }
}

// A demo car whose pads do not feel that the front discs warm up first.
v1::Vehicle with_constant_pads(const std::string& name) {
  auto v = tests::demo_document<v1::Vehicle>(name + "/vehicle/" + name + ".textproto");
  set_constant(v.mutable_front_brake()->mutable_pad_friction(), 0.41);
  set_constant(v.mutable_rear_brake()->mutable_pad_friction(), 0.39);
  return v;
}

TEST(VehicleSheetReplay, LocksTheAxleTheSheetSays) {
  for (const std::string name : {"sorrel", "bracken"}) {
    const v1::Vehicle v = with_constant_pads(name);
    const VehicleSheet s = sheet_of(v);
    ASSERT_GE(s.equal_pressures.replayed[1].changes.size(), 1u);
    expect_order(v, equal_pressures(), s.equal_pressures.replayed[1], 600);
  }
}

TEST(VehicleSheetReplay, LocksTheAxleTheSheetSaysUnderACalibration) {
  for (const std::string name : {"sorrel", "bracken"}) {
    const v1::Vehicle v = with_constant_pads(name);
    auto c = tests::demo_document<v1::Calibration>(name + "/calibrations/released.textproto");
    c.mutable_pressure_control()->set_demand_limit_bar(150);
    const VehicleSheet s = sheet_of(v, &c);
    const SheetBalance* used = nullptr;
    for (const SheetBalance& b : s.steps)
      if (b.name == c.balance().step()) used = &b;
    ASSERT_NE(used, nullptr);
    expect_order(v, c, used->replayed[1], 600);
  }
}

// Pressures "as replayed" held on the calipers of the demo cars: at 100 km/h they slow by what the sheet
// says. Pad friction constant, for discs warm up; the road does not let the tyres slide. Slip moves the
// wheels' share of the inertia a little: 0.5 %.
TEST(VehicleSheetReplay, PressuresGiveTheDeceleration) {
  for (const std::string name : {"sorrel", "bracken"}) {
    const v1::Vehicle v = with_constant_pads(name);
    for (const SheetPressure& p : sheet_of(v).pressures) {
      if (p.speed_mps <= 0) continue;
      v1::Scenario s;
      s.set_name("held");
      s.mutable_synthetic()->set_shape(v1::SYNTHETIC_SHAPE_STEP);
      s.mutable_synthetic()->set_control(v1::REQUEST_CONTROL_PEDAL);
      s.mutable_synthetic()->set_force_n(300);
      s.set_entry_point(v1::ENTRY_POINT_REQUEST);
      s.set_end_rule(v1::END_RULE_END_OF_INPUT);
      s.set_initial_speed_kph(190);
      set_constant(s.mutable_road()->mutable_friction_left(), 2);
      document::resolve_defaults(&s);
      s.set_longest_s(8);
      const v1::Calibration c = equal_pressures();
      auto made = compile::compile({v, c, c, s});
      ASSERT_TRUE(made.ok()) << made.status();
      made->plan.structure.plant.pressure_entry = true;
      auto& input = made->plan.input;
      for (size_t i = 500; i < input[replay::kFrontLinePressure].size(); ++i) {
        input[replay::kFrontLinePressure][i] = p.pressure_pa.front();
        input[replay::kRearLinePressure][i] = p.pressure_pa.rear();
      }
      const replay::Trace trace = replay::trace(made->plan);
      const size_t speed = signal::column_of("speed"), deceleration = signal::column_of("deceleration");
      double seen = 0;
      for (size_t i = 0; i < static_cast<size_t>(trace.ticks) && seen <= 0; ++i) {
        const double* row = &trace.rows[i * signal::kObservableCount];
        if (row[speed] < p.speed_mps) seen = row[deceleration] / kG;
      }
      EXPECT_NEAR(seen, p.deceleration_g, 0.005 * p.deceleration_g) << name;
    }
  }
}

}  // namespace
}  // namespace brakeward::gate
