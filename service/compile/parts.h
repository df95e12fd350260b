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

// Two channels that a driver who follows makes of a speed: what he plans and what he follows; and his
// constants. `logged`: the recorded request in shares of its onset, empty where there is none. Fills
// kHandTravel or kPedalForce, kFollowedSpeed and kTargetSpeed from the speed over time given.
absl::Status plan_followed(const Sources& sources, const std::vector<double>& logged,
                           std::vector<double> speed, CompiledScenario& out);

// Speed over time of a stated input, from its start.
std::vector<double> stated_speed(const v1::Scenario& scenario, double tick_s);

// Delays a series by a time, negative to bring it forward; its ends are held.
void delay_series(double seconds, double tick_s, std::vector<double>& y);

// What a document cannot say of a variation: friction and sensor zeros.
void vary(const scenario::Variation& variation, plant::PlantParams<double>& out);

// The steering wheel's angle over distance, and what it does to the hand control.
void steer(const v1::Vehicle& vehicle, const v1::Scenario& scenario, replay::ReplayPlan& plan);

// Levels of feel; after the input.
void read_feel(const Sources& sources, CompiledScenario& out);

// kReferenceFront, pressure levels and the times the reference passes them.
absl::Status compile_reference(const Sources& sources, CompiledScenario& out);

// "scenario NAME: ADDRESS: text" as InvalidArgument.
absl::Status bad(const v1::Scenario& scenario, const std::string& address, const std::string& text);

}  // namespace brakeward::compile
