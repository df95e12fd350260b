// Heat of a wheel brake from its document.
#include "compile/parts.h"
#include "compile/units.h"
#include "model/plant/heat_mesh.h"

namespace brakeward::compile {

plant::HeatParams<double> brake_heat(const v1::WheelBrake& b, const v1::Fluid& fluid) {
  plant::BrakeHeat h{};
  h.disc_mass = b.disc_mass_kg();
  h.disc_specific_heat = b.disc_specific_heat_j_per_kgk();
  h.disc_density = b.disc_density_kg_per_m3();
  h.disc_conductivity = b.disc_conductivity_w_per_mk();
  h.half_thickness = b.disc_half_thickness_mm() * kMilli;
  h.emissivity = b.disc_emissivity_ratio();
  h.cooling_area = b.disc_cooling_area_m2();
  if (b.has_disc_heat_share_percent()) h.disc_share = b.disc_heat_share_percent() * kPercent;
  h.hub_conductance = b.hub_conductance_w_per_k();
  h.hub_capacity = b.hub_heat_capacity_j_per_k();
  h.hub_area = b.hub_cooling_area_m2();
  h.pad_area = b.pad_area_cm2() * kSquareCentimetre;
  h.pad_thickness = b.pad_thickness_mm() * kMilli;
  h.pad_density = b.pad_density_kg_per_m3();
  h.pad_specific_heat = b.pad_specific_heat_j_per_kgk();
  h.pad_conductivity = b.pad_conductivity_w_per_mk();
  h.pad_to_disc = b.pad_to_disc_conductance_w_per_k();
  h.pad_to_fluid = b.pad_to_fluid_conductance_w_per_k();
  h.fluid_to_caliper = b.fluid_to_caliper_conductance_w_per_k();
  h.fluid_capacity =
      b.fluid_volume_cm3() * kCubicCentimetre * fluid.density_kg_per_m3() * fluid.specific_heat_j_per_kgk();
  h.caliper_capacity = b.caliper_heat_capacity_j_per_k();
  h.caliper_area = b.caliper_cooling_area_m2();
  h.convection_at_rest = b.convection_at_rest_w_per_m2k();
  h.convection_per_mps = b.duct_factor() * b.convection_per_speed_w_per_m2k_per_mps();
  return plant::heat_params(h);
}

}  // namespace brakeward::compile
