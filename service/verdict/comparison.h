// Changed hardware: one library replayed with the old calibration on the old car, the old calibration on the
// new car and the new calibration on the new car, so that of every difference the hardware's part and the
// calibration's can be told apart.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "verdict/run.h"

namespace brakeward::verdict {

// Catalogue unit; empty where the event never came or the replay does not show it.
struct ComparedMeasure {
  std::string measure;
  std::optional<double> old_on_old;  // calibration on car
  std::optional<double> old_on_new;
  std::optional<double> new_on_new;
  std::optional<double> tolerance;  // for one change from old_on_old; empty without one

  std::optional<double> by_hardware() const { return difference(old_on_old, old_on_new); }
  std::optional<double> by_calibration() const { return difference(old_on_new, new_on_new); }
  std::optional<double> together() const { return difference(old_on_old, new_on_new); }

 private:
  static std::optional<double> difference(const std::optional<double>& from,
                                          const std::optional<double>& to) {
    return from && to ? std::optional<double>(*to - *from) : std::nullopt;
  }
};

struct ComparedScenario {
  std::string scenario;
  std::vector<ComparedMeasure> measures;  // those that any of the three runs shows, in catalogue order
  std::string reason;                     // why there are none
};

struct ComparedDocument {
  std::string name, sha256;
};

struct HardwareComparison {
  std::string library_name;
  ComparedDocument old_vehicle, new_vehicle, old_calibration, new_calibration;
  Tier tier = Tier::kGate;
  int numerics_version = 0;
  std::vector<CalibrationChange> vehicle_changes;      // in schema order
  std::vector<CalibrationChange> calibration_changes;  // likewise
  std::vector<ComparedScenario> scenarios;             // library order
};

}  // namespace brakeward::verdict
