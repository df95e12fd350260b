// Drift: what small changes add up to over event builds, each of which was within tolerance.
//
// All builds are replayed anew under one vehicle, library and numerics; values of different numerics are
// never subtracted. A step is the change from the build before; the tolerance is that of the first build's
// value, the same for every step, so that shares of it add up.
//
// - Where either way counts, steps are signed, and the size of their sum at the last build is judged.
// - Where one way is worse, steps for the worse are positive and the sum never falls below zero (Page's
//   cumulative sum, Biometrika 41, 1954; from memory). An improvement makes up for what was lost before it;
//   it is no credit for what is lost after it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "measure/catalogue.h"
#include "verdict/run.h"
#include "verdict/tolerance.h"

namespace brakeward::verdict {

struct DriftBuild {
  std::string name;
  std::string held_on;  // ISO 8601
  std::string calibration_name;
  std::string calibration_sha256;
};

// One build of a series. Shares of the tolerance; empty where there is no value to subtract.
struct DriftStep {
  std::optional<double> value;  // catalogue unit
  std::optional<double> step;   // change from the build before; none for the first
  std::optional<double> sum;    // of the steps so far
};

// One measure of one scenario. An empty measure stands for the scenario as a whole: its replay broke, or it
// is a campaign that does not show all of its faults.
struct DriftSeries {
  std::string scenario;  // or campaign, or stint; "campaign/fault" for one fault of a campaign
  std::string measure;
  std::optional<double> tolerance;        // for one change, from the first build's value
  std::optional<double> drift_tolerance;  // allowed
  bool two_sided = false;
  std::vector<DriftStep> steps;      // one a build
  std::optional<double> sum;         // at the last build, in shares of the tolerance
  std::optional<double> drift_used;  // of the drift tolerance; at most kNothingAllowed
  Verdict verdict = Verdict::kNone;
  std::string reason;  // one sentence; empty for a plain pass
};

struct Drift {
  std::string season, season_sha256;
  std::string library_name;
  std::string vehicle_name, vehicle_sha256;
  int numerics_version = 0;
  Verdict verdict = Verdict::kNone;
  std::vector<DriftBuild> builds;
  std::vector<DriftSeries> series;  // library and catalogue order, judged ones only
  size_t not_judged = 0;            // measures of scenarios without a tolerance or a value in any build
};

// Allowed drift of one measure.
struct DriftAllowance {
  double factor = 1;             // on the tolerance
  std::optional<double> amount;  // instead, in the measure's unit
};

// A measure of one scenario, as compare() judged it in every build against the first.
struct DriftInput {
  std::string scenario;
  const measure::MeasureInfo* info = nullptr;
  bool two_sided = false;
  DriftAllowance allowance;
  std::vector<MeasureResult> results;  // one a build
};

// Nothing where no build was judged. Fails where the sum is beyond the drift tolerance, or the timed event
// did not come in the last build; inconclusive where a build in between has no value or was not fit to judge.
std::optional<DriftSeries> judge_drift(const DriftInput& input, const std::vector<DriftBuild>& builds);

// Worst verdict of the series; inconclusive without any.
void conclude(Drift& drift);

}  // namespace brakeward::verdict
