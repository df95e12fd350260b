// The plain Run: what a check found. Terminal, JSON, JUnit and, later, RPC and metrics are views of it.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace brakeward::verdict {

// Verdict words after ETSI ES 201 873-1 (TTCN-3), in the order in which the worst wins.
enum class Verdict { kNone, kPass, kInconclusive, kFail, kError };

// "none", "pass", "inconclusive", "fail", "error".
const char* word(Verdict v);

// The worse of the two.
Verdict worst(Verdict a, Verdict b);

// State of the machinery; says nothing about the brakes.
enum class RunState { kAccepted, kRunning, kCompleted, kCancelled, kAborted };

// "accepted", "running", "completed", "cancelled", "aborted".
const char* word(RunState s);

// Which of a library's scenarios and campaigns are replayed.
enum class Tier { kGate, kEndurance, kAll };

// "gate", "endurance", "all".
const char* word(Tier t);

// One measure of one scenario. Units are those of the catalogue.
struct MeasureResult {
  std::string measure;
  std::optional<double> value;           // empty when never reached or not applicable
  std::optional<double> baseline;        // empty when the baseline has none
  std::optional<double> allowed_change;  // empty when no tolerance applies
  std::optional<double> tolerance_used;  // change for the worse / allowed change; negative when better;
                                         // kNothingAllowed (1e12) when nothing was allowed and something used
  Verdict verdict = Verdict::kNone;
  std::string reason;  // one sentence; empty only for a plain pass
};

// A replay against its recording in one channel. Ratings after ISO/TS 18571 (measure/rating.h).
struct ChannelRating {
  std::string channel;           // "deceleration", "pressure" or "speed"
  std::string unit;              // of the errors
  std::optional<double> rating;  // R; empty where there is none
  double corridor = 0, phase = 0, magnitude = 0, slope = 0;
  double rms_error = 0;
  double peak_error = 0;  // the greatest, replay less recording
  std::string reason;     // why there is no rating; else empty
};

// How well the calibration that was on the car reproduces the recording.
struct Reproduction {
  std::string calibration_name;
  double deceleration_rms_mps2 = 0;
  std::optional<double> pressure_rms_bar;    // empty when no pressure was logged
  double longest_departure_s = 0;            // longest time with more than 0.5 m/s^2 between the two
  std::vector<ChannelRating> channels = {};  // those that were recorded
};

// The worst of all replays of a campaign with one fault.
struct FaultResult {
  std::string fault;  // name in the campaign
  int replays = 0;
  // The one that never stopped, else was unbraked or braked unasked longest beyond the fault-tolerant time,
  // else lost most distance.
  std::string worst_replay;
  Verdict verdict = Verdict::kNone;
  std::string reason;                   // where the verdict does not follow from the measures alone
  std::vector<MeasureResult> measures;  // worst values over the replays, catalogue order
};

// A campaign; the measures of its scenario result are the worst over all its faults.
struct CampaignResult {
  std::optional<double> fault_tolerant_time_ms;  // of single faults
  std::vector<FaultResult> faults;               // in the campaign's order
};

// One lap of a stint; temperatures are the greatest, of the axle's or car's hottest brake or actuator.
struct StintLap {
  int lap = 1;  // counted from 1
  bool at_pace = true;
  double braking_distance_m = 0;
  double front_disc_celsius = 0;
  double rear_disc_celsius = 0;
  double fluid_celsius = 0;
  std::optional<double> boiling_margin_kelvin;  // least when an application began; empty without one
  double actuator_celsius = 0;
};

// One part of a lap, a stop or a stretch, with the driving and standing until the next one; temperatures as
// of a lap.
struct StintPart {
  int lap = 1;
  std::string scenario;                     // that is driven
  bool compared = false;                    // of the first or the last of the laps that are driven alike
  std::optional<double> distance_m;         // of a stop, from the request to standstill
  std::optional<double> deceleration_mps2;  // mean while the driver asks for braking
  double front_disc_celsius = 0;
  double rear_disc_celsius = 0;
  double fluid_celsius = 0;
  double actuator_celsius = 0;
};

struct StintResult {
  std::vector<StintLap> laps;
  std::vector<StintPart> parts = {};  // in order
};

// Effort at one level of deceleration; empty where the level was never reached, or never left.
struct FeelPoint {
  double deceleration_mps2 = 0;
  std::optional<double> applied;   // when it was last reached while it rose
  std::optional<double> released;  // when it was last left while it fell
};

// How deceleration follows one control.
struct FeelResult {
  std::string control;            // "hand" or "pedal"
  std::string unit;               // of the effort: "mm" or "N"
  std::vector<FeelPoint> points;  // rising
};

// What came out of one replay of a scenario that is replayed more than once.
struct Repetition {
  std::string kind;    // "itself", "repeat", "step", "mirrored" or "corner"
  std::string replay;  // its name
  double distance_m = 0;
  std::optional<double> delay_ms;
  std::optional<double> deceleration_mps2;
};

struct ScenarioResult {
  std::string scenario;
  std::string scenario_class;  // "straight_dry", "split_friction", ...
  Verdict verdict = Verdict::kNone;
  std::string reason;  // where the verdict does not follow from the measures alone
  std::vector<MeasureResult> measures;
  std::optional<Reproduction> reproduction;
  std::optional<CampaignResult> campaign;
  std::optional<StintResult> stint = std::nullopt;
  std::optional<Tier> tier = std::nullopt;   // gate or endurance; empty in runs of before it was told
  std::vector<FeelResult> feel = {};         // its own control, then the pedal beside it
  std::vector<Repetition> repetitions = {};  // itself, then the replays beside it; empty without any
};

// One line of a build sheet, by the name of its field: "pads", "tyres", ...
struct BuildSheetLine {
  std::string field;
  std::string value;
};

// Where what was fitted for a recording is not what is fitted to the car under check.
struct BuildSheetDifference {
  std::string recording;
  std::string field;
  std::string recorded;
  std::string fitted;
};

// One value in which the candidate differs from the baseline's calibration.
struct CalibrationChange {
  std::string address;  // of the value in the document
  std::string before;   // as messages write values, for example "3 bar"
  std::string after;
};

struct Run {
  std::string run_id;       // empty for a run that no service has kept
  std::string finished_at;  // RFC 3339, UTC; empty where nobody looked at a clock
  std::string event_build;  // the event build this run was marked as; empty for a variant
  std::string calibration_name;
  std::string calibration_sha256;
  std::string vehicle_name;
  std::string vehicle_sha256;
  std::string library_name;
  std::string baseline_event_build;     // empty when there was none
  bool baseline_proposed_only = false;  // approved by nobody
  std::optional<Tier> tier;             // empty in runs of before there were tiers
  RunState state = RunState::kAccepted;
  Verdict verdict = Verdict::kNone;
  std::vector<CalibrationChange> calibration_changes;  // from the baseline's calibration, in schema order
  std::vector<BuildSheetLine> build_sheet;             // of the car under check, in schema order
  std::vector<BuildSheetDifference> build_sheet_differences;  // library order; no verdict
  std::vector<ScenarioResult> scenarios;                      // library order
  int numerics_version = 0;
  std::string result_sha256;
  double duration_s = 0;
  double replayed_s = 0;
};

// SHA-256 in hexadecimal over hashes, library, baseline, numerics version, and per scenario name, class,
// verdict, measures, reproduction, campaign, stint, feel and repetitions: everything but ids, state, tiers,
// approval, timings and prose. The candidate and the car are known by their hashes, not their names. Doubles
// enter with their exact bits, scenarios and measures in the order given; run.cc documents the bytes. Two
// doors that answer the same give the same one.
std::string result_sha256(const Run& run);

// What a pass does not mean; printed by every view.
const char* caution();

}  // namespace brakeward::verdict
