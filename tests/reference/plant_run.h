// The car alone, stepped by hand: commands or line pressures in, signals out. Include after defining
// BRAKEWARD_ISA in one test source.
#pragma once

#include <algorithm>
#include <cmath>

#include "model/plant/plant.inl.h"
#include "reference/sample_plan.h"

namespace brakeward::reference {
inline namespace BRAKEWARD_ISA {

struct PlantRun {
  plant::PlantParams<double> car;
  plant::PlantStructure structure;
  plant::PlantConstants<double> constants{};
  plant::PlantState<double> state{};
  signal::DriverInput<double> driver{};
  signal::PlantSignals<double> seen{};
  double command[signal::kAxles] = {0, 0};        // Pa
  double wheel_command[signal::kWheels] = {};     // Pa, of the valves per wheel
  double motor_command[signal::kAxles] = {0, 0};  // N m
  signal::FaultEffects<double> fault{};
  double time = 0;

  PlantRun(const plant::PlantParams<double>& car_in, const plant::PlantStructure& structure_in)
      : car(car_in), structure(structure_in) {
    fault.supply = 1e9;
    for (int a = 0; a < signal::kAxles; ++a) fault.response[a] = fault.flow[a] = 1;
    constants = plant::constants_of(car, structure);
    plant::start(car, constants, state);
  }
  explicit PlantRun(const replay::ReplayPlan& plan) : PlantRun(plan.params.plant, plan.structure.plant) {}

  void step() {
    signal::ActuatorCommand<double> all{};
    std::copy_n(command, signal::kAxles, all.pressure);
    std::copy_n(motor_command, signal::kAxles, all.motor_torque);
    std::copy_n(wheel_command, signal::kWheels, all.wheel_pressure);
    plant::step_plant(car, constants, structure, driver, all, fault, state, seen);
    time += structure.tick_s;
  }
  void run_for(double seconds) {
    const long ticks = std::lround(seconds / structure.tick_s);
    for (long i = 0; i < ticks; ++i) step();
  }
};

}  // namespace BRAKEWARD_ISA
}  // namespace brakeward::reference
