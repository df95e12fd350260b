// The parts of a plan, each from its document. Internal to compile.
#pragma once

#include "compile/compile.h"

namespace brakeward::compile {

// Car, hardware, road and loads.
void compile_plant(const v1::Vehicle& vehicle, const v1::Scenario& scenario, plant::PlantParams<double>& out,
                   plant::PlantStructure& structure);

// Mass and centre of gravity with the scenario's masses at their places; as they are where it has none.
absl::Status place_masses(const v1::Vehicle& vehicle, const v1::Scenario& scenario,
                          plant::PlantParams<double>& out);

// Friction, heights and course of the road.
void road(const v1::Road& road, plant::RoadParams<double>& out, plant::PlantStructure& structure);

// Does the vehicle, loaded as in `car`, have what the road asks for?
absl::Status check_road(const v1::Vehicle& vehicle, const v1::Scenario& scenario,
                        const plant::PlantParams<double>& car, const plant::PlantStructure& structure);

// Which wheels engine or motors turn.
bool drives_front(const v1::Driveline& driveline);
bool drives_rear(const v1::Driveline& driveline);

// What turns and joins the wheels.
void driveline(const v1::Driveline& driveline, plant::PlantParams<double>& out,
               plant::PlantStructure& structure);

// The next whole number of ticks; what is a rounding error above one counts as that.
double whole_ticks(double ticks);

// "1.234 kg": a number worked out, to three decimals.
std::string rounded(double value, const char* unit);

// A tyre of either form.
plant::TyreParams<double> tyre(const v1::Tyre& tyre);
// Calipers, pads, lines and fluid.
void compile_brakes(const v1::Vehicle& vehicle, const v1::Scenario& scenario, plant::PlantParams<double>& out,
                    plant::PlantStructure& structure);

signal::HydraulicLayout layout_of(const v1::Vehicle& vehicle);

// Actuators, layout of the circuits and the pedal's hydraulic way; after the brakes.
void compile_hydraulics(const v1::Vehicle& vehicle, const v1::Scenario& scenario,
                        plant::PlantParams<double>& out, plant::PlantStructure& structure);

// Faults and pads knocked back, on the tick grid; after the plant.
absl::Status compile_disturbances(const Sources& sources, CompiledScenario& out);

// G = C_d A sqrt(2 / rho) of a round hole.
double orifice_gain(double discharge_coefficient, double diameter_m, double density_kg_per_m3);

// Density of the fluid at a temperature.
double fluid_density(const v1::Fluid& fluid, double celsius);

// Heat of a wheel brake.
plant::HeatParams<double> brake_heat(const v1::WheelBrake& brake, const v1::Fluid& fluid);

// Driver and comparison channels by tick, start speed, end of the replay. Fills plan.input except
// kReferenceFront, params.last_tick, ends_standing, plant.start_speed, fold.onset_tick and context.onset_s.
absl::Status compile_input(const Sources& sources, CompiledScenario& out);

// kReferenceFront, pressure levels and the times the reference passes them.
absl::Status compile_reference(const Sources& sources, CompiledScenario& out);

// "scenario NAME: ADDRESS: text" as InvalidArgument.
absl::Status bad(const v1::Scenario& scenario, const std::string& address, const std::string& text);

}  // namespace brakeward::compile
