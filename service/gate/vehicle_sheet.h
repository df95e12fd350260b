// What a brake engineer reads before trusting a vehicle document: loads, balance, pressures, response, heat,
// grades. Every number comes from the parameters a replay of that document runs on.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "brakeward/v1/calibration.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "signal/ports.h"

namespace brakeward::gate {

// Two numbers, front and rear.
struct PerAxle {
  double axle[signal::kAxles] = {0, 0};
  double front() const { return axle[signal::kFront]; }
  double rear() const { return axle[signal::kRear]; }
};

// Both wheels' load of an axle on level road.
struct SheetLoad {
  double deceleration_g = 0;
  double speed_mps = 0;
  PerAxle load_n;
};

struct SheetSpeed {
  double speed_mps = 0;
  double drag_n = 0;
  PerAxle downforce_n;  // negative for lift
};

// Which axle locks first as the road gets better, and where that changes.
struct LockOrder {
  struct Change {
    double deceleration_g = 0;  // where both axles use the same share of their grip
    double road_friction = 0;   // that share: the road factor, as in Scenario.road, on which both lock there
  };
  signal::Axle first = signal::kFront;  // on the slipperiest road; the other one after each change
  std::vector<Change> changes;
};

// The brakes of both axles under one distribution of pressure.
struct SheetBalance {
  std::string name;                 // selector step; empty for equal pressures
  double front_pressure_share = 0;  // 1, of the summed circuit pressures, braking with 0.5 g, no speed trim
  double front_force_share = 0;     // 1, of the brake force, there
  LockOrder plain;                  // brakes alone, equal grip on both axles, no air
  std::vector<LockOrder> replayed;  // with all a replay knows, at kSheetSpeeds_mps
  double first_lock_deceleration_g = 0;  // road factor 1, 100 km/h, with all a replay knows
  signal::Axle first_lock = signal::kFront;
};

// Adhesion used by each axle, f_i = T_i / N_i, under the distribution in use: UN R13-H Annex 5 (formula from
// memory, standard mechanics), brakes alone.
struct SheetUtilization {
  double deceleration_g = 0;
  double ideal_front_share = 0;
  double front_share = 0;
  PerAxle adhesion;  // infinite for an axle that has lifted
};

struct SheetPressure {
  double deceleration_g = 0;
  double speed_mps = 0;  // 0: brakes alone, no air; else with all a replay knows
  PerAxle pressure_pa;
  PerAxle volume_m3;     // both calipers of the axle
  PerAxle stall_share;   // of the actuator's stall pressure
  PerAxle volume_share;  // of its volume limit, per circuit
};

// From the request to 90 % of the pressure, in a replay of a step. Negative: not within kResponseLimit_s.
struct SheetResponse {
  double deceleration_g = 0;
  PerAxle hardware_s;     // the target commanded as it is: no filter, rise limit or prefill
  PerAxle calibration_s;  // with the calibration's
};

// The pedal alone, the by-wire unit without power.
struct SheetFoot {
  double pedal_force_n = 0;
  PerAxle pressure_pa;            // per circuit, or what the master cylinder's volume allows
  PerAxle stroke_share;           // per circuit, of the master cylinder's volume
  double deceleration_g = 0;      // brakes alone, no air
  double travel_m = 0;            // of the pedal
  double simulator_travel_m = 0;  // with power, at the same force; 0 where it is not known
};

struct SheetHeat {
  double speed_mps = 0;
  double energy_j = 0;  // 1/2 m v^2
  PerAxle rise_k;       // of each disc of the axle, nothing lost to the air
};

// Steepest grade held at rest, rise over run, on tyres with this road factor.
struct SheetGrade {
  double road_friction = 0;
  PerAxle one_axle_uphill, one_axle_downhill;  // that axle's brakes alone; the way the car points
  double all_uphill = 0, all_downhill = 0;
};

struct VehicleSheet {
  std::string name, provenance;
  double mass_kg = 0, cargo_kg = 0;  // the mass is with the cargo
  double wheelbase_m = 0, cog_behind_front_axle_m = 0, cog_height_m = 0;
  double static_front_share = 0;
  signal::HydraulicLayout layout;
  double disc_celsius = 0, air_density_kg_per_m3 = 0;  // assumed throughout
  double coasting_n = 0;           // retarding force of engine and motors at the tyres, 100 km/h
  double rotating_mass_share = 0;  // wheels' inertia over r^2, to the car's mass
  std::vector<SheetSpeed> speeds;
  std::vector<SheetLoad> loads;  // by deceleration, then speed (0 and kSheetSpeeds_mps)
  std::string calibration;       // empty when none was given
  SheetBalance equal_pressures;
  std::vector<SheetBalance> steps;  // of the calibration
  std::string distribution;         // of all that follows: the step in use; empty for equal pressures
  std::vector<SheetUtilization> utilization;
  // Of 0.2 <= k <= 0.8: the k at which the margin to z >= 0.1 + 0.7 (k - 0.2) is least, and the z reached.
  double least_margin_friction = 0, least_margin_deceleration_g = 0;
  double rear_above_front_from_g = 0;  // least z in 0.15 to 0.80 with f_2 > f_1; 0 for none
  std::vector<SheetPressure> pressures;
  std::vector<SheetResponse> responses;
  std::vector<SheetFoot> foot;     // empty where the pedal has no hydraulic way
  double fluid_boils_celsius = 0;  // at the air's pressure, with its water; 0 where the document does not say
  PerAxle heat_capacity_j_per_k;   // both discs
  double heat_front_share = 0;
  std::vector<SheetHeat> heat;
  PerAxle pressure_limit_pa;  // stall, or where the volume limit ends it
  std::vector<SheetGrade> grades;
};

inline constexpr double kSheetSpeeds_mps[] = {50 / 3.6, 100 / 3.6, 200 / 3.6};
inline constexpr double kResponseLimit_s = 2;

// Of checked documents (the vehicle by compile::check_vehicle too) with defaults resolved; `calibration` may
// be null; cargo at the centre of gravity. InvalidArgument where they cannot be replayed.
absl::StatusOr<VehicleSheet> make_vehicle_sheet(const v1::Vehicle& vehicle,
                                                const v1::Calibration* calibration, double cargo_kg = 0);

// The same of files, `calibration_file` empty for none; InvalidArgument with every fault of both, and where
// the calibration belongs to another car or selects a step or grade it does not have.
absl::StatusOr<VehicleSheet> load_vehicle_sheet(const std::filesystem::path& vehicle_file,
                                                const std::filesystem::path& calibration_file,
                                                double cargo_kg = 0);

// At most 110 columns, no colour, ends in a newline.
std::string render(const VehicleSheet& sheet);

}  // namespace brakeward::gate
