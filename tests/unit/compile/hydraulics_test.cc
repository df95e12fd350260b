// Fluid, lines, actuators, pedal and disturbances: from their documents to what the engine gets.
#include <cmath>
#include <string>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "unit/compile/demo_sources.h"

namespace brakeward::compile {
namespace {

using testing::AllOf;
using testing::HasSubstr;

constexpr double kPi = 3.14159265358979323846;

class Hydraulics : public DemoSources {
 protected:
  replay::ReplayPlan plan() { return good().plan; }
  // Pressure over flow of the front line for small flows.
  double laminar_resistance() {
    const auto& b = plan().params.plant.brake[0];
    return std::sqrt(b.laminar_pressure) / b.flow_gain;
  }
};

void two_points(v1::Curve& curve, double x0, double y0, double x1, double y1) {
  curve.Clear();
  for (const auto& [x, y] : {std::pair(x0, y0), std::pair(x1, y1)}) {
    auto* p = curve.add_points();
    p->set_x(x);
    p->set_y(y);
  }
}

// dp = 128 mu L Q / (pi d^4) (Hagen and Poiseuille): bore 3.35 mm, 3 m, 20 cm^3/s, 15 mm^2/s give 3.09 bar;
// 2 mm^2/s 0.39 bar; 1500 mm^2/s 320 bar. The figures are rounded and of 1060 to 1110 kg/m^3.
TEST_F(Hydraulics, ALineResistsAsAPipe) {
  vehicle.mutable_front_brake()->set_line_length_m(3);
  vehicle.mutable_front_brake()->set_line_bore_mm(3.35);
  vehicle.mutable_fluid()->clear_density_change_kg_per_m3k();
  const double rows[][2] = {{15, 3.09}, {2, 0.39}, {1500, 320}};
  for (const auto& row : rows) {
    two_points(*vehicle.mutable_fluid()->mutable_viscosity_mm2_per_s(), -40, row[0], 100, row[0]);
    EXPECT_NEAR(laminar_resistance() * 20e-6 / 1e5 / row[1], 1, 0.06) << row[0];
    EXPECT_NEAR(laminar_resistance(), 128 * row[0] * 1e-6 * 1060 * 3 / (kPi * std::pow(3.35e-3, 4)),
                1e-6 * laminar_resistance());
  }
}

// Walther's line through 1300 mm^2/s at -40 and 2.0 at 100 degC (ASTM D341; the values derived from it).
TEST_F(Hydraulics, FluidThickensAlongWalthersLine) {
  vehicle.mutable_fluid()->clear_density_change_kg_per_m3k();
  vehicle.mutable_front_brake()->set_line_length_m(1);
  two_points(*vehicle.mutable_fluid()->mutable_viscosity_mm2_per_s(), -40, 1300, 100, 2.0);
  const double rows[][2] = {{-20, 159.1}, {0, 39.17}, {20, 14.77}, {40, 7.27}};
  scenario.set_ambient_celsius(-40);
  const double thickest = laminar_resistance();
  for (const auto& row : rows) {
    scenario.set_ambient_celsius(row[0]);
    EXPECT_NEAR(1300 * laminar_resistance() / thickest / row[1], 1, 1e-3) << row[0];
  }
}

// Dry at no water, wet at 3.7 % (FMVSS 116, S6.2), and below the chord between: a straight line flatters.
TEST_F(Hydraulics, WaterLowersTheBoilingPointConvexly) {
  const auto boiling = [&](double water) {
    scenario.set_fluid_water_percent(water);
    return plan().params.plant.brake[0].boiling;
  };
  const double dry = vehicle.fluid().dry_boiling_celsius(), wet = vehicle.fluid().wet_boiling_celsius();
  EXPECT_NEAR(boiling(0), dry, 1e-9);
  EXPECT_NEAR(boiling(3.7), wet, 1e-9);
  for (double water : {0.5, 1.0, 2.0, 3.0})
    EXPECT_LT(boiling(water), dry + (wet - dry) * water / 3.7 - 1) << water;
  EXPECT_GT(boiling(10), 100);
}

TEST_F(Hydraulics, FluidGivesInSeriesWithTheCaliper) {
  vehicle.mutable_front_brake()->clear_line_length_m();
  vehicle.mutable_front_brake()->clear_line_bore_mm();
  vehicle.mutable_fluid()->clear_viscosity_mm2_per_s();
  const double alone = plan().params.plant.brake[0].stiffness;
  vehicle.mutable_fluid()->set_bulk_modulus_gpa(1.7);
  vehicle.mutable_front_brake()->set_fluid_volume_cm3(60);
  const double both = plan().params.plant.brake[0].stiffness;
  // 60 cm^3, 1.7 GPa, 100 bar: 0.3529 cm^3 more (derived).
  EXPECT_NEAR(1e6 * (100e5 / both - 100e5 / alone), 0.3529, 1e-4);
}

// Balance bar of 31.5 and 38.5 mm, bores 15.9 and 17.8 mm: p_f / p_r = 1.5318; 500 N, 4, 0.95, 22.22 mm and
// an undivided force: 4.8998 MPa (both derived).
TEST_F(Hydraulics, PedalPathHasHandbookPressures) {
  v1::PedalPath* p = vehicle.mutable_pedal_path();
  p->set_front_arm_mm(31.5);
  p->set_rear_arm_mm(38.5);
  p->set_front_bore_mm(15.9);
  p->set_rear_bore_mm(17.8);
  const auto per_force = [&](int a) { return plan().params.plant.pedal_path.pressure_per_force[a]; };
  EXPECT_NEAR(per_force(0) / per_force(1), 1.5318, 1e-4);
  p->set_front_arm_mm(1e-9);
  p->set_pedal_ratio(4);
  p->set_efficiency_percent(95);
  p->set_front_bore_mm(22.22);
  EXPECT_NEAR(500 * per_force(0), 4.8998e6, 100);
}

TEST_F(Hydraulics, TheLayoutReachesPlantAndController) {
  vehicle.clear_rear_actuator();
  v1::HydraulicLayout& layout = *vehicle.mutable_hydraulic_layout();
  layout.set_split(v1::CIRCUIT_SPLIT_DIAGONAL);
  layout.set_actuators(v1::ACTUATOR_ARRANGEMENT_SHARED);
  v1::WheelValves& valves = *layout.mutable_wheel_valves();
  valves.set_lag_ms(5);
  valves.set_outlet_diameter_mm(0.8);
  valves.set_return_volume_cm3(3);
  valves.set_return_flow_cm3_per_s(4);
  calibration.mutable_slip_limit()->mutable_rear()->set_scope(v1::SLIP_LIMIT_SCOPE_WHEEL);
  const auto made = plan();
  EXPECT_TRUE(made.structure.plant.diagonal && made.structure.control.diagonal);
  EXPECT_TRUE(made.structure.plant.shared_actuator && made.structure.control.shared_actuator);
  EXPECT_TRUE(made.structure.plant.wheel_valves && made.structure.control.wheel_valves);
  EXPECT_EQ(made.params.plant.actuator[1].volume_limit, made.params.plant.actuator[0].volume_limit);
  EXPECT_NEAR(made.params.plant.wheel_valve.lag, 0.005, 1e-15);
  // 0.61 x pi/4 x 0.8^2 mm^2 x sqrt(2 / 1060 kg/m^3) (derived).
  EXPECT_NEAR(made.params.plant.wheel_valve.outlet_gain, 1.3319e-8, 1e-12);
  EXPECT_EQ(made.params.control.slip.each_wheel[0], 0);
  EXPECT_EQ(made.params.control.slip.each_wheel[1], 1);
  v1::Fault* dead = scenario.add_faults();
  dead->set_kind(v1::FAULT_KIND_ACTUATOR_DEAD);
  dead->set_circuit(v1::CIRCUIT_REAR);
  dead->set_end_s(1);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("faults[0].circuit"), HasSubstr("one actuator feeds both")));
  scenario.clear_faults();
  layout.clear_wheel_valves();
  EXPECT_THAT(refusal(), AllOf(HasSubstr("slip_limit.rear.scope: SLIP_LIMIT_SCOPE_WHEEL"),
                               HasSubstr("no valves per wheel")));
}

TEST_F(Hydraulics, DisturbancesComeOnTheTickGrid) {
  v1::Fault* leak = scenario.add_faults();
  leak->set_kind(v1::FAULT_KIND_CIRCUIT_LEAK);
  leak->set_circuit(v1::CIRCUIT_REAR);
  leak->set_leak_diameter_mm(0.7);
  leak->set_start_s(0.8);
  leak->set_end_s(1.4);
  v1::KnockBack* knock = scenario.add_knock_back();
  knock->set_wheel(v1::WHEEL_REAR_LEFT);
  knock->set_at_s(0.25);
  knock->set_volume_cm3(0.3);
  vehicle.mutable_fluid()->clear_density_change_kg_per_m3k();
  const auto made = plan();
  EXPECT_NEAR(made.params.fault.leak[1].start_tick, 800, 1e-9);
  EXPECT_GT(made.params.fault.leak[0].start_tick, 1e12);
  // d = 0.7 mm, C_d 0.61, 1060 kg/m^3, 50 bar: 22.802 cm^3/s (derived).
  EXPECT_NEAR(1e6 * made.params.fault.leak[1].value * std::sqrt(50e5), 22.802, 6e-4);
  EXPECT_NEAR(made.params.fault.knock_back_tick[2], 250, 1e-9);
  EXPECT_NEAR(made.params.plant.knock_back[2], 0.3e-6, 1e-18);
  EXPECT_TRUE(made.structure.plant.disturbed);
  scenario.add_faults()->CopyFrom(*leak);
  EXPECT_THAT(refusal(), AllOf(HasSubstr("faults[1].circuit"), HasSubstr("already there")));
}

}  // namespace
}  // namespace brakeward::compile
