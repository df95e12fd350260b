// Tolerances and limits, and the comparison of a candidate's measures with a baseline's.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "measure/catalogue.h"
#include "verdict/run.h"

namespace brakeward::verdict {

// Tolerance used where nothing was allowed and something was used, and the most that is ever reported: JSON
// has no infinity, and the schema's range ends here. Every view prints it as "none allowed".
inline constexpr double kNothingAllowed = 1e12;

// A limit at or beyond this magnitude is no limit.
inline constexpr double kNoBound = 1e9;

// Allowed change = largest of effect, effect_ratio x |baseline|, spread_factor x spread, floor. Units of the
// measure.
struct Tolerance {
  std::string measure;
  double effect = 0;
  double effect_ratio = 0;
  double spread_factor = 0;
  double floor = 0;
  bool two_sided = false;
  bool not_judged = false;
  std::string source;
};

// Whether a change counts either way: by the measure's nature, or because the tolerance says so. Null: no
// tolerance.
bool counts_both_ways(const measure::MeasureInfo& info, const Tolerance* tolerance);

// The tolerance that counts for a measure, the last one, or null.
const Tolerance* find_tolerance(const std::vector<Tolerance>& tolerances, std::string_view measure);

// Absolute bounds of a scenario; a bound that is crossed fails whatever the baseline says. A value on the
// bound holds.
struct Limit {
  std::string measure;
  double minimum = -kNoBound;
  double maximum = kNoBound;
  std::string source;
};

// What the baseline holds for one measure.
struct BaselineValue {
  std::string measure;
  std::optional<double> value;  // empty when never reached
  double spread = 0;
};

// Why a scenario may not be judged as usual. A broken replay stays an error and a crossed limit stays failed.
struct Trust {
  bool calibration_bypassed = false;  // recorded pressure: every other measure is none
  bool inconclusive = false;          // every other measure that would be judged becomes inconclusive
  bool vehicle_inconclusive = false;  // the same for measures read at the vehicle, which the driver shapes
  std::string reason;                 // one sentence
};

struct ComparisonInput {
  std::vector<measure::MeasureValue> values;  // catalogue order
  std::vector<BaselineValue> baseline;        // empty when there is no baseline
  std::vector<Tolerance> tolerances;          // of the scenario's class; the last one for a measure counts
  std::vector<Limit> limits;                  // of the scenario; several for one measure all count
  Trust trust;
};

// Judges every measure of one scenario. On unrounded values: a change equal to the allowed one passes.
//
// A measure without tolerance and limit is none, with the reason. With a tolerance:
// - A change for the worse beyond the allowed one fails. Two-sided tolerances, and measures of which either
//   way is worse, count both ways. Where nothing is allowed, any change for the worse fails.
// - Without a baseline value it is none, or passes when a limit held.
// - A timed event that never came fails where the baseline had it, and is none where that lacked it too. One
//   that came although the baseline lacked it is inconclusive: whether that is better is not known.
// - A measure the replay does not show is none, or inconclusive where the baseline had it or a limit asks.
//
// An event that never came crosses a limit on its worse side. A value, baseline, tolerance or limit that is
// not finite is an error; so are a value missing from `values` and a tolerance or limit for an unknown
// measure. A baseline value of an unknown measure is listed as none.
//
// Fills measures and verdict of the result, and its reason where the trust or "nothing was judged" decides.
// A scenario in which nothing was judged is inconclusive.
void compare(const ComparisonInput& input, ScenarioResult& result);

// Worst verdict of the scenarios into the run. A run in which nothing was judged is inconclusive, and one
// that was cancelled or aborted is so at best: what was not replayed could still have failed.
void conclude(Run& run);

}  // namespace brakeward::verdict
