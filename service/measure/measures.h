// From the folds of a replay to the measures of the catalogue.
#pragma once

#include <vector>

#include "measure/catalogue.h"
#include "measure/folds.h"

namespace brakeward::measure {

// Levels of the reference demand the delays are timed at: 1 bar, then shares of its peak.
inline constexpr double kFirstPressure = 1e5;  // Pa
inline constexpr double kDelayShare[3] = {0.10, 0.63, 0.90};

// What was known of the scenario beforehand.
struct MeasureContext {
  double tick_s = 0.001;
  bool pressure_entry = false;        // the calibration was bypassed
  bool ends_standing = true;          // judged as a stop; otherwise as a stretch
  double nominal_speed_mps = 0;       // 0: no correction
  double onset_s = 0;                 // of the request
  double level_pa[4] = {0, 0, 0, 0};  // as in FoldParams::pressure_level
  double rise_s[4] = {-1, -1, -1,
                      -1};  // when the reference first passed each level; negative when it never did
  double fall_s = -1;       // when the reference last fell through the 10 % level; negative when it never did
  bool holds = false;       // judged by how it stays where it has stopped
  bool by_pedal = false;    // the driver never moves the hand control beyond its onset
  bool follows = false;     // the driver follows a speed
  double marker_m = 0;      // from onset; 0 without one
  bool bends = false;       // the road asks for lateral force
  bool uneven = false;      // it bends, or grips one side more than the other
  bool has_track = false;   // the vehicle gives its track widths
  bool motors = false;
  double feel_step_mps2 = 0;  // between the levels of feel; 0 where it is not read
  bool has_fault = false;
  double fault_start_s = 0;
  double fault_end_s = 0;
};

// Every measure of the catalogue, in its order. Values in the catalogue's units.
std::vector<MeasureValue> make_measures(const Folds<double>& folds, const MeasureContext& context);

// Comparison of a replay with its recording.
struct RecordingErrors {
  bool compared = false;
  double deceleration_rms_mps2 = 0;
  bool pressure_compared = false;
  double pressure_rms_bar = 0;
  double longest_departure_s = 0;
};
RecordingErrors recording_errors(const Folds<double>& folds, double tick_s);

}  // namespace brakeward::measure
