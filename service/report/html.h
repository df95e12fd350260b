// The run as one HTML file that needs nothing else: no network, no other file.
#pragma once

#include <string>
#include <vector>

#include "report/figure.h"
#include "verdict/run.h"

namespace brakeward::report {

// Distribution and adhesion at one deceleration of a steady stop.
struct BalancePoint {
  double deceleration_g = 0;
  double ideal_front_share = 0;  // both axles use the same adhesion
  double front_share = 0;        // of the brake force
  double front_adhesion = 0;     // infinite for an axle without load
  double rear_adhesion = 0;
};

// Under one calibration, brakes alone.
struct BalanceCurve {
  std::string calibration;
  std::string step;                    // selector step in use
  double rear_above_front_from_g = 0;  // least of 0.15 to 0.80 g; 0 for none
  std::vector<BalancePoint> points;    // rising
};

// What a run does not hold.
struct HtmlExtras {
  std::vector<Figure> figures;        // any order; a scenario without one gets none
  std::string why_no_figures;         // where there are none at all
  std::vector<BalanceCurve> balance;  // the candidate's, then the baseline's; may be empty
  std::string why_no_balance;
  // Under the baseline's calibration: of every scenario that has them feel, repetitions and stint, and
  // nothing else. Empty without a baseline.
  std::vector<verdict::ScenarioResult> baseline;
  std::string why_no_baseline;
};

// Scenarios whose figures are wanted: all that do not pass, and of the others the twenty with the largest
// tolerance used; in the order of the report. Pointers into `run`.
std::vector<const verdict::ScenarioResult*> scenarios_to_draw(const verdict::Run& run);

// Under kMostHtmlBytes whatever the run holds: where something is left out a sentence says what, and where it
// is. Verdicts are a shape and a word beside their colour. All text is escaped, and the only script that
// may run is the embedded one, by its hash.
inline constexpr size_t kMostHtmlBytes = 3000000;
std::string render_html(const verdict::Run& run, const HtmlExtras& extras);

}  // namespace brakeward::report
