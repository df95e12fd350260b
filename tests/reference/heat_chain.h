// One wheel brake's heat, stepped by hand. Include after defining BRAKEWARD_ISA in one test source.
#pragma once

#include <algorithm>
#include <cmath>

#include "model/plant/heat.inl.h"
#include "model/plant/heat_mesh.h"

namespace brakeward::reference {
inline namespace BRAKEWARD_ISA {

// Grey iron of the handbook, k 52, rho 7200, c 460, a square metre of friction face: watts are W/m^2. Nothing
// is lost and nothing reaches hub or pads.
inline plant::BrakeHeat bare_slab(double half_thickness) {
  plant::BrakeHeat b{};
  b.disc_conductivity = 52;
  b.disc_density = 7200;
  b.disc_specific_heat = 460;
  b.half_thickness = half_thickness;
  b.disc_mass = b.disc_density * half_thickness;
  b.disc_share = 1;
  b.hub_capacity = b.fluid_capacity = b.caliper_capacity = 1000;
  b.pad_area = b.pad_thickness = b.pad_density = b.pad_specific_heat = b.pad_conductivity = 1;
  return b;
}

template <int kDisc = plant::kDiscNodes>
struct HeatRun {
  using Chain = plant::HeatChain<kDisc>;
  plant::HeatParams<double, kDisc> params;
  plant::HeatConstants<double, kDisc> constants{};
  plant::HeatState<double, kDisc> state{};
  double step_s, ambient, speed = 0, time = 0;

  HeatRun(const plant::BrakeHeat& b, double step, double from, double air, double growth = plant::kDiscGrowth)
      : params(plant::heat_params<kDisc>(b, growth)), step_s(step), ambient(air) {
    constants = plant::heat_constants(params, step);
    plant::start_heat(from, air, air, state);
  }
  void step(double joules = 0) {
    state.energy += joules;
    plant::step_heat<1>(params, constants, speed, ambient, &state);
    time += step_s;
  }
  // Friction of `watts` at the time halfway through each step.
  template <class Power>
  void run_to(double seconds, Power watts) {
    for (long left = std::lround((seconds - time) / step_s); left > 0; --left)
      step(watts(time + 0.5 * step_s) * step_s);
  }
  void run_to(double seconds) {
    run_to(seconds, [](double) { return 0.0; });
  }
  double face() const { return state.node[Chain::kFace]; }
  double at(int node) const { return state.node[node]; }
  // Mean of the disc by heat capacity.
  double mean() const {
    double sum = 0, capacity = 0;
    for (int i = Chain::kBack; i <= Chain::kFace; ++i) {
      sum += params.capacity[i] * state.node[i];
      capacity += params.capacity[i];
    }
    return sum / capacity;
  }
};

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::reference
