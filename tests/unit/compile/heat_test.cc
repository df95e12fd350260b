// The heat of a vehicle document: what it refuses, what it fills in, what the engine gets.
#include <cmath>
#include <string>
#include <vector>

#include "compile/parts.h"
#include "demo_documents.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "model/plant/heat_mesh.h"

namespace brakeward::compile {
namespace {

using testing::AllOf;
using testing::HasSubstr;
using Chain = plant::HeatChain<>;

v1::Vehicle sorrel() {
  return tests::demo_document<v1::Vehicle>("sorrel/vehicle/sorrel.textproto");
}

std::string refusal(void (*spoil)(v1::WheelBrake&)) {
  v1::Vehicle v = sorrel();
  spoil(*v.mutable_front_brake());
  return document::check(v).render();
}

TEST(HeatDocument, RefusesWhatNoBrakeHas) {
  const struct {
    void (*spoil)(v1::WheelBrake&);
    const char *address, *range;
  } rows[] = {
      {[](auto& b) { b.set_disc_half_thickness_mm(0.9); }, "front_brake.disc_half_thickness_mm",
       "1 to 60 mm"},
      {[](auto& b) { b.set_disc_half_thickness_mm(61); }, "front_brake.disc_half_thickness_mm", "1 to 60 mm"},
      {[](auto& b) { b.set_disc_conductivity_w_per_mk(0); }, "front_brake.disc_conductivity_w_per_mk",
       "1 to 400 W/(m K)"},
      {[](auto& b) { b.set_disc_conductivity_w_per_mk(401); }, "front_brake.disc_conductivity_w_per_mk",
       "1 to 400 W/(m K)"},
      {[](auto& b) { b.set_pad_conductivity_w_per_mk(-1.2); }, "front_brake.pad_conductivity_w_per_mk",
       "0.1 to 100 W/(m K)"},
      {[](auto& b) { b.set_disc_emissivity_ratio(1.01); }, "front_brake.disc_emissivity_ratio", "0 to 1"},
      {[](auto& b) { b.set_fluid_volume_cm3(0); }, "front_brake.fluid_volume_cm3", "1 to 500 cm^3"},
      {[](auto& b) { b.set_caliper_heat_capacity_j_per_k(0); }, "front_brake.caliper_heat_capacity_j_per_k",
       "50 to 20000 J/K"},
      {[](auto& b) { b.set_disc_heat_share_percent(49); }, "front_brake.disc_heat_share_percent",
       "50 to 100 %"},
  };
  for (const auto& row : rows)
    EXPECT_THAT(refusal(row.spoil), AllOf(HasSubstr(row.address), HasSubstr(row.range)));
}

TEST(HeatDocument, OldDocumentsStayValid) {
  v1::Vehicle v = sorrel();
  v1::WheelBrake old = v.front_brake();
  const auto* type = v1::WheelBrake::descriptor();
  for (int i = 0; i < type->field_count(); ++i)
    if (type->field(i)->number() > 16) old.GetReflection()->ClearField(&old, type->field(i));
  old.set_disc_heat_share_percent(97);
  *v.mutable_front_brake() = old;
  v.mutable_fluid()->clear_specific_heat_j_per_kgk();
  document::resolve_defaults(&v);
  EXPECT_TRUE(document::check(v).empty()) << document::check(v).render();
  EXPECT_EQ(v.front_brake().disc_half_thickness_mm(), 12);
  const auto heat = brake_heat(v.front_brake(), v.fluid());
  EXPECT_DOUBLE_EQ(heat.disc_share, 0.97);
  double disc = 0;
  for (int i = Chain::kBack; i <= Chain::kFace; ++i) {
    EXPECT_GT(heat.capacity[i], 0);
    disc += heat.capacity[i];
  }
  EXPECT_NEAR(disc, v.front_brake().disc_mass_kg() * v.front_brake().disc_specific_heat_j_per_kgk(), 1e-9);
}

TEST(HeatDocument, BecomesTheChainInSi) {
  const v1::Vehicle v = sorrel();
  const v1::WheelBrake& b = v.front_brake();
  const auto heat = brake_heat(b, v.fluid());
  const double swept = b.disc_mass_kg() / (7200 * 0.013);
  EXPECT_NEAR(heat.face_area, swept, 1e-12);
  EXPECT_NEAR(heat.back_area, 0.14 - swept, 1e-12);
  EXPECT_NEAR(heat.radiating, 0.55 * swept, 1e-12);
  EXPECT_NEAR(heat.convection_per_mps, 2.4, 1e-12);
  EXPECT_NEAR(heat.capacity[Chain::kPad], 0.0110 * 0.009 * 2600 * 850, 1e-9);
  EXPECT_NEAR(heat.capacity[Chain::kFluid], 45e-6 * 1060 * 2300, 1e-9);
  EXPECT_NEAR(heat.capacity[Chain::kCaliper], 3400, 1e-9);
  EXPECT_NEAR(heat.link[Chain::kFace - 1], 50 * swept / (0.013 / 31), 1e-9);  // the first of 1+2+4+8+16 parts
  EXPECT_NEAR(heat.link[Chain::kHub], 2, 0);
  EXPECT_NEAR(heat.link[Chain::kPad], 0.8, 0);
  // sqrt(k rho c) of pads and disc, areas of pads and disc
  const double pad = std::sqrt(1.8 * 2600 * 850) * 0.0110, disc = std::sqrt(50.0 * 7200 * 470) * swept;
  EXPECT_NEAR(heat.disc_share, disc / (disc + pad), 1e-12);
}

TEST(HeatDocument, HeatMovesOnEveryFourMillisecondsOrEveryTick) {
  const double ticks_ms[] = {0.5, 1, 1.5, 2, 3, 4, 5};
  const int steps[] = {8, 4, 2, 2, 1, 1, 1};
  for (int i = 0; i < 7; ++i) {
    v1::Vehicle v = sorrel();
    v.set_tick_ms(ticks_ms[i]);
    plant::PlantParams<double> car{};
    plant::PlantStructure st{};
    compile_plant(v, v1::Scenario(), car, st);
    EXPECT_EQ(st.heat_ticks, steps[i]) << ticks_ms[i] << " ms";
  }
}

}  // namespace
}  // namespace brakeward::compile
