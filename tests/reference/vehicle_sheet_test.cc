// The vehicle sheet against closed forms written out here and published tables.
// Marks: VERIFIED read in a public text; MEMORY from memory; DERIVED computed from a formula with its own
// mark.
#include <cmath>

#include "reference/vehicle_sheet_cars.h"

namespace brakeward::gate {
namespace {

constexpr double kG = 9.80665;  // m/s^2, standard gravity
constexpr double kWeight = 1500 * kG;

v1::Vehicle sorrel() {
  return tests::demo_document<v1::Vehicle>("sorrel/vehicle/sorrel.textproto");
}

// m 1500 kg, L 2.70 m, c.g. 1.215 m behind the front axle and 0.54 m high: front share at rest 0.55, h / L
// 0.20. Nothing but brakes with the front force share `phi` at equal pressures; tyres that grip alike.
v1::Vehicle worked_car(double phi) {
  v1::Vehicle v = sorrel();
  v.mutable_chassis()->set_mass_kg(1500);
  v.mutable_chassis()->set_wheelbase_m(2.70);
  v.mutable_chassis()->set_cog_behind_front_axle_m(1.215);
  v.mutable_chassis()->set_cog_height_m(0.54);
  v.mutable_aero()->set_drag_area_m2(0);
  v.mutable_aero()->set_front_downforce_area_m2(0);
  v.mutable_aero()->set_rear_downforce_area_m2(0);
  v.mutable_driveline()->set_engine_braking_nm(0);
  for (v1::Tyre* t : {v.mutable_front_tyre(), v.mutable_rear_tyre()}) {
    t->set_p_dx1(1);
    t->set_p_dx2(0);
    t->set_rolling_radius_m(0.32);
    t->set_rolling_resistance_ratio(0);
  }
  for (v1::WheelBrake* b : {v.mutable_front_brake(), v.mutable_rear_brake()}) {
    set_constant(b->mutable_pad_friction(), 0.4);
    b->set_opening_pressure_bar(0);
    b->set_effective_radius_mm(140);
    b->set_piston_area_cm2(40 * (b == v.mutable_front_brake() ? phi : 1 - phi));
    b->set_disc_mass_kg(9);
    b->set_disc_specific_heat_j_per_kgk(460);
    b->set_disc_heat_share_percent(97);
  }
  return v;
}

const SheetLoad& load_at(const VehicleSheet& s, double g, double speed) {
  for (const SheetLoad& l : s.loads)
    if (std::fabs(l.deceleration_g - g) < 1e-9 && std::fabs(l.speed_mps - speed) < 1e-9) return l;
  ADD_FAILURE() << "no load at " << g << " g, " << speed << " m/s";
  return s.loads.front();
}

// 500 N, ratio 4, efficiency 0.95, bore 22.22 mm and half the force on each: half of 4.8998 MPa; the brakes
// then give T = 2 mu p A r at each wheel (both derived).
TEST(VehicleSheetFoot, PushesThroughAsTheHandbookSays) {
  v1::Vehicle v = worked_car(0.7);
  v1::PedalPath* p = v.mutable_pedal_path();
  p->set_pedal_ratio(4);
  p->set_efficiency_percent(95);
  p->set_front_bore_mm(22.22);
  p->set_rear_bore_mm(22.22);
  p->set_front_arm_mm(35);
  p->set_rear_arm_mm(35);
  p->set_stroke_mm(60);
  const SheetFoot foot = sheet_of(v).foot.back();
  EXPECT_EQ(foot.pedal_force_n, 500);
  EXPECT_NEAR(foot.pressure_pa.front(), 4.8998e6 / 2, 100);
  EXPECT_NEAR(foot.pressure_pa.rear(), 4.8998e6 / 2, 100);
  const double force = 2 * 2 * 0.4 * 4.8998e6 / 2 * 40e-4 * 0.140 / 0.32;
  EXPECT_NEAR(foot.deceleration_g, force / (1500 * 9.80665), 1e-4);
  p->set_stroke_mm(1.5);
  EXPECT_NEAR(sheet_of(v).foot.back().stroke_share.front(), 1, 1e-9);
  EXPECT_LT(sheet_of(v).foot.back().pressure_pa.front(), 4.8e6 / 2);
  v.clear_pedal_path();
  EXPECT_TRUE(sheet_of(v).foot.empty());
}

// N_f = P (psi_f + chi z), N_r = P (psi_r - chi z), standard mechanics; the table DERIVED, in 0.1 N.
TEST(VehicleSheetLoads, OfTheWorkedCar) {
  const VehicleSheet s = sheet_of(worked_car(0.7));
  const double rows[][3] = {{0, 8090.5, 6619.5},  {.2, 8678.9, 6031.1},  {.4, 9267.3, 5442.7},
                            {.6, 9855.7, 4854.3}, {.8, 10444.1, 4265.9}, {1.0, 11032.5, 3677.5}};
  for (const auto& row : rows) {
    EXPECT_NEAR(load_at(s, row[0], 0).load_n.front(), row[1], 0.06);
    EXPECT_NEAR(load_at(s, row[0], 0).load_n.rear(), row[2], 0.06);
  }
}

// Moments about the contacts with drag D at its height: (h m a - h_drag D) / L to the front, and downforce
// 1/2 rho A v^2 on its axle (standard mechanics, DERIVED).
TEST(VehicleSheetLoads, OverSpeed) {
  const v1::Vehicle v = sorrel();
  const VehicleSheet s = sheet_of(v, nullptr, 200);
  const double speed = 200 / 3.6, pressure = 0.5 * 1.2 * speed * speed;
  for (const double z : {0.0, 0.6, 1.0}) {
    const double moved = (0.56 * 1920 * z * kG - 0.8 * 1.05 * pressure) / 2.95;
    const double rest = 1920 * kG * (2.95 - 1.38) / 2.95;
    EXPECT_NEAR(load_at(s, z, speed).load_n.front(), rest + 0.1 * pressure + moved, 1e-6) << z;
    EXPECT_NEAR(load_at(s, z, speed).load_n.rear(), 1920 * kG - rest + 0.35 * pressure - moved, 1e-6) << z;
  }
  EXPECT_EQ(s.mass_kg, 1920);
}

// f1 = phi z / (psi_f + chi z), f2 = (1 - phi) z / (psi_r - chi z) (UN R13-H Annex 5, formula MEMORY); the
// curves cross at z = (phi - psi_f) / chi; values DERIVED, four decimals.
TEST(VehicleSheetBalance, AdhesionUtilizationAndCrossing) {
  const struct {
    double phi, crossing, f[5][2];  // at z 0.2, 0.4, ... 1.0
  } cars[] = {
      {.65, .50, {{.2203, .1707}, {.4127, .3784}, {.5821, .6364}, {.7324, .9655}, {.8667, 1.4000}}},
      {.70, .75, {{.2373, .1463}, {.4444, .3243}, {.6269, .5455}, {.7887, .8276}, {.9333, 1.2000}}},
      {.75, 1.00, {{.2542, .1220}, {.4762, .2703}, {.6716, .4545}, {.8451, .6897}, {1.0000, 1.0000}}}};
  for (const auto& car : cars) {
    const VehicleSheet s = sheet_of(worked_car(car.phi));
    ASSERT_EQ(s.utilization.size(), 10u);
    for (size_t i = 0; i < 5; ++i) {
      const SheetUtilization& u = s.utilization[2 * i + 1];
      EXPECT_NEAR(u.adhesion.front(), car.f[i][0], 6e-5) << car.phi;
      EXPECT_NEAR(u.adhesion.rear(), car.f[i][1], 6e-5) << car.phi;
      EXPECT_NEAR(u.ideal_front_share, .55 + .20 * u.deceleration_g, 1e-12);
      EXPECT_NEAR(u.front_share, car.phi, 1e-12);
    }
    const LockOrder& order = s.equal_pressures.plain;
    EXPECT_EQ(order.first, signal::kFront);
    ASSERT_EQ(order.changes.size(), 1u);
    EXPECT_NEAR(order.changes[0].deceleration_g, car.crossing, 1e-9);
    EXPECT_NEAR(order.changes[0].road_friction, car.crossing, 1e-9) << "there f1 = f2 = z";
  }
}

// Steps of a calibration: the pressure share as its document says (no trim below 30 bar), and the share of
// the force, F = 4 mu A r_eff (p - p_open) / r, pads interpolated at 80 degC (DERIVED).
TEST(VehicleSheetBalance, StepsOfACalibration) {
  const auto v = sorrel();
  const auto c = tests::demo_document<v1::Calibration>("sorrel/calibrations/released.textproto");
  const VehicleSheet s = sheet_of(v, &c);
  ASSERT_EQ(s.steps.size(), 5u);
  EXPECT_EQ(s.distribution, "0");
  const double front_gain = 4 * (.40 + .03 * 60 / 130) * 25.4e-4 * .142 / .325;
  const double rear_gain = 4 * (.39 + .03 * 60 / 130) * 14.6e-4 * .134 / .325;
  for (int i = 0; i < 5; ++i) {
    const SheetBalance& b = s.steps[static_cast<size_t>(i)];
    const double share = .58 + .01 * i, force = .5 * 1720 * kG;
    EXPECT_EQ(b.name, c.balance().steps(i).name());
    EXPECT_NEAR(b.front_pressure_share, share, 1e-12);
    const double both = 2 * (share * front_gain + (1 - share) * rear_gain);
    const double mean = (force + .6e5 * (front_gain + rear_gain)) / both;
    EXPECT_LT(mean, 30e5);
    EXPECT_NEAR(b.front_force_share, front_gain * (2 * share * mean - .6e5) / force, 1e-9);
  }
}

// The limits on road factor 1 (DERIVED): phi 0.70 is rear-limited, z = psi_r / (1 - phi + chi) = 0.9;
// phi 0.80 front-limited, z = psi_f / (phi - chi) = 0.9167. Wheels of inertia J add J a / r^2 to the torque
// that the tyre must not see: the limit is taken with next to none.
TEST(VehicleSheetBalance, FirstLockOnGoodRoad) {
  const struct {
    double phi, z;
    signal::Axle axle;
  } rows[] = {{.70, .45 / (.30 + .20), signal::kRear}, {.80, .55 / (.80 - .20), signal::kFront}};
  for (const auto& row : rows) {
    v1::Vehicle v = worked_car(row.phi);
    v.mutable_front_tyre()->set_wheel_inertia_kgm2(1e-9);
    v.mutable_rear_tyre()->set_wheel_inertia_kgm2(1e-9);
    const SheetBalance b = sheet_of(v).equal_pressures;
    EXPECT_NEAR(b.first_lock_deceleration_g, row.z, 1e-6);
    EXPECT_EQ(b.first_lock, row.axle);
  }
}

// Tyres that lose grip with load, peak mu = d1 + d2 (F_z / F_z0 - 1) of one wheel's load (Pacejka
// 2006, 4.3.2): at the limit phi z W = N_f mu(N_f / 2), and uphill on the rear brakes W sin = N_r mu(N_r / 2)
// (DERIVED).
TEST(VehicleSheetBalance, LimitsOnTyresThatFeelLoad) {
  v1::Vehicle v = worked_car(.80);
  for (v1::Tyre* t : {v.mutable_front_tyre(), v.mutable_rear_tyre()}) {
    t->set_p_dx1(1.1);
    t->set_p_dx2(-0.1);
    t->set_nominal_load_n(4000);
    t->set_wheel_inertia_kgm2(1e-9);
  }
  const VehicleSheet s = sheet_of(v);
  const auto grip = [](double axle_load) { return axle_load * (1.1 - 0.1 * (axle_load / 2 / 4000 - 1)); };
  const double z = s.equal_pressures.first_lock_deceleration_g;
  EXPECT_EQ(s.equal_pressures.first_lock, signal::kFront);
  EXPECT_NEAR(.80 * z * kWeight, grip(kWeight * (.55 + .20 * z)), 1e-3);
  const double tangent = s.grades.front().one_axle_uphill.rear();
  const double cosine = 1 / std::sqrt(1 + tangent * tangent), sine = tangent * cosine;
  EXPECT_NEAR(kWeight * sine, grip(kWeight * (.45 * cosine + .20 * sine)), 1e-3);
}

// UN R13-H Annex 5: z >= 0.1 + 0.7 (k - 0.2) (MEMORY); f2 not above f1 for z 0.15 to 0.80 (R13-H MEMORY, for
// M1 VERIFIED in Directive 71/320/EEC). For this car 0.75 passes, 0.70 does not: the curves cross at 0.75 g.
TEST(VehicleSheetBalance, NoteOnAnnex5) {
  EXPECT_EQ(sheet_of(worked_car(.75)).rear_above_front_from_g, 0);
  EXPECT_NEAR(sheet_of(worked_car(.70)).rear_above_front_from_g, .76, 1e-9);
  // phi 0.95: f1 = 0.95 z / (0.55 + 0.20 z) is the larger everywhere; no z has less margin than the one
  // named.
  const VehicleSheet s = sheet_of(worked_car(.95));
  const double z = s.least_margin_deceleration_g, k = .95 * z / (.55 + .20 * z);
  EXPECT_NEAR(s.least_margin_friction, k, 1e-9);
  for (int i = 16; i <= 52; ++i) {
    const double other = .01 * i, used = .95 * other / (.55 + .20 * other);
    if (used < .2 || used > .8) continue;
    EXPECT_LE(z - (.1 + .7 * (k - .2)), other - (.1 + .7 * (used - .2)) + 1e-12);
  }
}

// p = F r / (4 mu A_1 r_eff) an axle, and the caliper law p = K/2 (u + sqrt(u^2 + k^2)) less its value at no
// volume (DERIVED; the law is common practice).
TEST(VehicleSheetPressure, AndFluid) {
  const v1::Vehicle v = worked_car(.70);
  const VehicleSheet s = sheet_of(v);
  for (const SheetPressure& p : s.pressures) {
    if (p.speed_mps > 0) continue;
    const double force = p.deceleration_g * kWeight;
    EXPECT_NEAR(p.pressure_pa.front(), force * .32 / (4 * .4 * 40e-4 * .140), 1e-3);
    EXPECT_NEAR(p.pressure_pa.rear(), p.pressure_pa.front(), 1e-6);
    const v1::WheelBrake* brakes[] = {&v.front_brake(), &v.rear_brake()};
    const v1::Actuator* actuators[] = {&v.front_actuator(), &v.rear_actuator()};
    for (int a = 0; a < 2; ++a) {
      const double u = .5e6 * p.volume_m3.axle[a] - brakes[a]->clearance_volume_cm3();
      const double u0 = -brakes[a]->clearance_volume_cm3(), knee = brakes[a]->knee_volume_cm3();
      const double bar = .5 * brakes[a]->stiffness_bar_per_cm3() *
                         (u + std::sqrt(u * u + knee * knee) - u0 - std::sqrt(u0 * u0 + knee * knee));
      EXPECT_NEAR(bar * 1e5, p.pressure_pa.axle[a], 1e-3);
      EXPECT_NEAR(p.stall_share.axle[a], bar / actuators[a]->stall_pressure_bar(), 1e-9);
      EXPECT_NEAR(p.volume_share.axle[a], p.volume_m3.axle[a] * 1e6 / actuators[a]->volume_limit_cm3(), 1e-9);
    }
  }
  v1::Vehicle short_stroke = v;
  short_stroke.mutable_front_actuator()->set_volume_limit_cm3(1);
  EXPECT_LT(sheet_of(short_stroke).pressure_limit_pa.front(), 100e5);
  EXPECT_EQ(s.pressure_limit_pa.front(), 150e5);
}

// m c dT = share x 1/2 M v^2: 1500 kg from 100 km/h, 70 % at the front, 97 % into discs of 9 kg and 460
// J/(kg K): 47.456 K; 578 703.7 J (DERIVED).
TEST(VehicleSheetHeat, OfOneStop) {
  const VehicleSheet s = sheet_of(worked_car(.70));
  ASSERT_EQ(s.heat.size(), 2u);
  EXPECT_NEAR(s.heat[0].energy_j, 578703.7, 0.1);
  EXPECT_NEAR(s.heat[0].rise_k.front(), 47.456, 6e-4);
  EXPECT_NEAR(s.heat[0].rise_k.rear(), 47.456 * .3 / .7, 6e-4);
  EXPECT_NEAR(s.heat[1].rise_k.front(), 4 * 47.456, 3e-3);
  EXPECT_NEAR(s.heat_capacity_j_per_k.front(), 2 * 9 * 460, 1e-9);
}

// Held by one axle pointing uphill: tan = mu psi_r / (1 - mu chi) rear, mu psi_f / (1 + mu chi) front;
// pointing downhill the signs of chi change; by all: tan = mu (standard mechanics, DERIVED).
TEST(VehicleSheetGrade, HeldByTyres) {
  const VehicleSheet s = sheet_of(worked_car(.70));
  for (const SheetGrade& g : s.grades) {
    const double mu = g.road_friction;
    EXPECT_NEAR(g.one_axle_uphill.rear(), mu * .45 / (1 - mu * .20), 1e-9);
    EXPECT_NEAR(g.one_axle_uphill.front(), mu * .55 / (1 + mu * .20), 1e-9);
    EXPECT_NEAR(g.one_axle_downhill.rear(), mu * .45 / (1 + mu * .20), 1e-9);
    EXPECT_NEAR(g.one_axle_downhill.front(), mu * .55 / (1 - mu * .20), 1e-9);
    EXPECT_NEAR(g.all_uphill, mu, 1e-9);
    EXPECT_NEAR(g.all_downhill, mu, 1e-9);
  }
}

// Weak actuators: 10 bar, sin = 4 mu p A r_eff / (r W) (DERIVED).
TEST(VehicleSheetGrade, HeldByBrakes) {
  v1::Vehicle v = worked_car(.70);
  v.mutable_front_actuator()->set_stall_pressure_bar(10);
  v.mutable_rear_actuator()->set_stall_pressure_bar(10);
  const SheetGrade g = sheet_of(v).grades.front();
  const double sine = 4 * .4 * 10e5 * 40e-4 * .140 / (.32 * kWeight);
  const auto tangent = [](double s) { return s / std::sqrt(1 - s * s); };
  EXPECT_NEAR(g.all_uphill, tangent(sine), 1e-9);
  EXPECT_NEAR(g.one_axle_uphill.front(), tangent(.7 * sine), 1e-9);
  EXPECT_NEAR(g.one_axle_downhill.rear(), tangent(.3 * sine), 1e-9);
}

// A first-order actuator alone: dead time + 2.30259 tau (DERIVED). Wide lines, stiff calipers and flow to
// spare leave next to nothing else; a tick of 1 ms and the lines are allowed 2 ms.
TEST(VehicleSheetResponse, OfAnActuatorAlone) {
  v1::Vehicle v = worked_car(.70);
  for (v1::WheelBrake* b : {v.mutable_front_brake(), v.mutable_rear_brake()}) {
    b->set_orifice_diameter_mm(5);
    b->set_stiffness_bar_per_cm3(2000);
    b->set_clearance_volume_cm3(0);
    b->set_knee_volume_cm3(0.01);
  }
  for (v1::Actuator* a : {v.mutable_front_actuator(), v.mutable_rear_actuator()}) {
    a->set_flow_limit_cm3_per_s(500);
    a->set_stall_pressure_bar(300);
    a->set_dead_time_ms(20);
    a->set_lag_ms(40);
  }
  for (const SheetResponse& r : sheet_of(v).responses)
    for (const double t : r.hardware_s.axle) EXPECT_NEAR(t, .020 + 2.30259 * .040, .002);
}

// Where flow bounds it: no sooner than dead time and fluid volume over the greatest flow; later only by as
// much as the flow falls with pressure, linearly to none at stall (DERIVED).
TEST(VehicleSheetResponse, IsBoundByFlow) {
  v1::Vehicle v = sorrel();
  v.mutable_front_actuator()->set_flow_limit_cm3_per_s(6);
  const VehicleSheet s = sheet_of(v);
  const double volume = s.pressures[1].volume_m3.front() * 1e6;  // at all of the pressure, 0.5 g, 100 km/h
  const double t = s.responses[0].hardware_s.front() - .014;
  EXPECT_GT(t, .85 * volume / 6) << "90 % of the pressure takes more than 85 % of the volume";
  EXPECT_LT(t, 1.5 * volume / 6) << "at 27 of 150 bar the flow is down by less than a fifth";
  v.mutable_front_actuator()->set_volume_limit_cm3(0.5);
  EXPECT_LT(sheet_of(v).responses[0].hardware_s.front(), 0) << "never reached";
}

}  // namespace
}  // namespace brakeward::gate
