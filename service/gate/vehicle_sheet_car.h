// A car in a steady stop on level road, from the parameters of a replay plan. SI units. Internal to the
// sheet.
#pragma once

#include "gate/vehicle_sheet.h"
#include "replay/plan.h"

namespace brakeward::gate {

// Parameters and what they need to be read.
struct SheetCar {
  const plant::PlantParams<double>& params;
  const plant::PlantStructure& structure;
};

// How the demanded mean pressure is split. Null parameters: equally.
struct Distribution {
  const control::BalanceParams<double>* params = nullptr;
  control::ControlStructure structure{};
};

// What acts besides the brakes.
enum class Effects {
  kBrakesAlone,  // F = m a, equal grip on both axles; no air, rolling resistance, engine or wheel inertia
  kReplayed,     // all that acts in a replay with the accelerator released above the fade speed
};

PerAxle pressures(const Distribution& d, double speed, double mean);

// Both wheels of each axle: N_f = m g psi + transfer + downforce, N_r likewise, transfer = (h m a - h_drag D)
// / L, with D = 0 and no downforce at no speed; never below 0.
PerAxle axle_loads(const SheetCar& car, double deceleration, double speed);

// Both wheels, at the tyre: 2 x 2 mu A (p - p_open) r_eff / r.
double brake_force(const SheetCar& car, int axle, double pressure);

// Retarding force at each axle's tyres with the accelerator released, above the fade speeds: the engine's,
// and the motors' at this speed within their power and what the battery takes at the start.
PerAxle coasting_forces(const SheetCar& car, double speed);

// Retarding force at each axle's tyres.
PerAxle contact_forces(const SheetCar& car, const PerAxle& pressure, double deceleration, double speed,
                       Effects effects);

// Mean pressure that gives this deceleration on tyres that hold; kNoPressure when not even that does.
inline constexpr double kNoPressure = 1e8;  // Pa
double mean_pressure(const SheetCar& car, const Distribution& d, double deceleration, double speed,
                     Effects effects);

// Share of its grip that each axle uses: F / N, in a replay over the tyre's peak d1 + d2 df too. Infinite for
// an axle without load.
PerAxle grip_used(const SheetCar& car, const Distribution& d, double deceleration, double speed,
                  Effects effects);

// From the least deceleration that takes the brakes to kLargest_g.
LockOrder lock_order(const SheetCar& car, const Distribution& d, double speed, Effects effects);

// Deceleration in g at which the first axle uses all its grip on road factor 1; kLargest_g when none does.
inline constexpr double kLargest_g = 2;
double first_lock(const SheetCar& car, const Distribution& d, double speed, signal::Axle* axle);

// Volume in one caliper: the inverse of the plant's p = K/2 (u + sqrt(u^2 + k^2)) less its value at V = 0,
// u = V - V_clearance: with s = 2 p / K + rest, u = (s^2 - k^2) / 2 s. 0 at no pressure.
double caliper_volume(const plant::BrakeParams<double>& brake, double pressure);
// The pressure itself.
double caliper_pressure(const plant::BrakeParams<double>& brake, double volume);

// What a circuit's actuator has displaced for these volumes of both calipers of each axle.
double displaced(const plant::PlantStructure& structure, const PerAxle& volume, int circuit);

// Volume in both calipers of a circuit, retarding force of both, at one pressure.
double circuit_volume(const SheetCar& car, int circuit, double pressure);
double circuit_force(const SheetCar& car, int circuit, double pressure);

// Least of `limit` and the pressure at which the circuit holds this volume.
double pressure_at_volume(const SheetCar& car, int circuit, double volume, double limit);

// Least of stall pressure and the pressure at which the circuit's actuator has given all its volume.
double pressure_limit(const SheetCar& car, int circuit);

// Steepest grade, rise over run, up to kSteepest: brakes of the axles marked at their pressure limit, tyres
// at their peak, rolling resistance left out; `uphill` the way the car points.
inline constexpr double kSteepest = 2;
double grade_held(const SheetCar& car, const bool (&braked)[signal::kAxles], double road_friction,
                  bool uphill);

}  // namespace brakeward::gate
