// Where the heat of a wheel brake is kept and how it moves on: a chain of nodes from the hub through half of
// the disc to its friction face, and on through pad and fluid to the caliper. Plain scalars only. The disc's
// two halves are the same, so the chain stands for both at once.
#pragma once

namespace brakeward::plant {

// Nodes through half the disc. The number at which a face heated at once is less than 2 % off from 0.1 s on.
inline constexpr int kDiscNodes = 6;

// Order of the chain. The back is what lies opposite the friction face: the mid-plane of a solid disc, the
// vanes of a ventilated one.
template <int kDisc = kDiscNodes>
struct HeatChain {
  static constexpr int kHub = 0, kBack = 1, kFace = kDisc, kPad = kDisc + 1, kFluid = kDisc + 2,
                       kCaliper = kDisc + 3, kNodes = kDisc + 4;
};

template <class Real, int kDisc = kDiscNodes>
struct HeatParams {
  Real capacity[HeatChain<kDisc>::kNodes];  // J/K
  Real link[HeatChain<kDisc>::kNodes - 1];  // W/K, from each node to the next
  Real disc_share;                          // 1, of the friction heat; the pads take the rest
  Real hub_area;                            // m^2, in the air
  Real back_area;                           // m^2
  Real face_area;                           // m^2
  Real caliper_area;                        // m^2
  Real radiating;                           // m^2, emissivity x face area
  Real convection_at_rest;                  // W/(m^2 K)
  Real convection_per_mps;                  // W s/(m^3 K)
};

}  // namespace brakeward::plant
