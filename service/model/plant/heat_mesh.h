// The nodes of a wheel brake's heat from its sizes and materials. Before a replay, in double.
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>

#include "model/plant/heat_params.h"

namespace brakeward::plant {

// SI units.
struct BrakeHeat {
  double disc_mass, disc_specific_heat, disc_density, disc_conductivity;
  double half_thickness;             // metal behind each friction face
  double emissivity;                 // of the friction faces
  double cooling_area;               // all of the disc in the air
  std::optional<double> disc_share;  // of the friction heat; by effusivity when not given
  double hub_conductance, hub_capacity, hub_area;
  double pad_area, pad_thickness;  // all pads of the brake together
  double pad_density, pad_specific_heat, pad_conductivity;
  double pad_to_disc, pad_to_fluid, fluid_to_caliper;  // W/K
  double fluid_capacity, caliper_capacity;             // J/K
  double caliper_area;
  double convection_at_rest, convection_per_mps;
};

// Both friction faces, from mass and thickness.
inline double swept_area(const BrakeHeat& b) {
  return b.disc_mass / (b.disc_density * b.half_thickness);
}

// Two bodies in sliding contact share the heat by effusivity sqrt(k rho c) and area (Charron's partition,
// with the areas of pad and swept disc; from memory).
inline double share_by_effusivity(const BrakeHeat& b) {
  const double disc = std::sqrt(b.disc_conductivity * b.disc_density * b.disc_specific_heat);
  const double pad = std::sqrt(b.pad_conductivity * b.pad_density * b.pad_specific_heat);
  return 1 / (1 + pad * b.pad_area / (disc * swept_area(b)));
}

// Distances between the disc's nodes grow by this factor from the friction face inwards.
inline constexpr double kDiscGrowth = 2;

// The mass at a node reaches to the geometric, not the arithmetic mean between its neighbours: with that, the
// few nodes of a geometric grid answer at the face like a solid (Ingerman, Druskin, Knizhnerman, Optimal
// finite difference grids and rational approximations of the square root, Comm. Pure Appl. Math. 53, 2000;
// from memory, and measured in the tests). `growth` at least 1.
template <int kDisc = kDiscNodes>
inline HeatParams<double, kDisc> heat_params(const BrakeHeat& b, double growth = kDiscGrowth) {
  using Chain = HeatChain<kDisc>;
  HeatParams<double, kDisc> out{};
  double spans = 0, span = 1;
  for (int i = 1; i < kDisc; ++i, span *= growth) spans += span;
  const double root = std::sqrt(growth), first = 1 / spans;  // shares of the half thickness
  const double capacity = b.disc_mass * b.disc_specific_heat;
  const double across = b.disc_conductivity * swept_area(b) / b.half_thickness;
  double left = 1;
  span = first;
  for (int i = 0; i < kDisc - 1; ++i, span *= growth) {
    const double part = i == 0 ? first / (1 + root) : span / root;
    out.capacity[Chain::kFace - i] = part * capacity;
    out.link[Chain::kFace - i - 1] = across / span;
    left -= part;
  }
  out.capacity[Chain::kBack] = left * capacity;
  out.capacity[Chain::kHub] = b.hub_capacity;
  out.link[Chain::kHub] = b.hub_conductance;
  out.capacity[Chain::kPad] = b.pad_area * b.pad_thickness * b.pad_density * b.pad_specific_heat;
  out.link[Chain::kFace] = b.pad_to_disc;
  out.capacity[Chain::kFluid] = b.fluid_capacity;
  out.link[Chain::kPad] = b.pad_to_fluid;
  out.capacity[Chain::kCaliper] = b.caliper_capacity;
  out.link[Chain::kFluid] = b.fluid_to_caliper;
  out.disc_share = b.disc_share ? *b.disc_share : share_by_effusivity(b);
  out.hub_area = b.hub_area;
  out.face_area = std::min(b.cooling_area, swept_area(b));
  out.back_area = b.cooling_area - out.face_area;
  out.caliper_area = b.caliper_area;
  out.radiating = b.emissivity * out.face_area;
  out.convection_at_rest = b.convection_at_rest;
  out.convection_per_mps = b.convection_per_mps;
  return out;
}

}  // namespace brakeward::plant
