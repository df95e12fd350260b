#include "report/brief.h"

#include "document/text.h"
#include "report/order.h"
#include "report/summary.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

std::string worst_line(const verdict::Run& run) {
  const auto scenarios = ordered_scenarios(run);
  if (scenarios.empty()) return "no scenario was replayed";
  const verdict::ScenarioResult& scenario = *scenarios.front();
  const auto measures = ordered_measures(scenario);
  std::string out = "worst in " + scenario.scenario + ": ";
  if (measures.empty() || measures.front()->verdict < scenario.verdict) return out + scenario.reason;
  const verdict::MeasureResult& worst = *measures.front();
  if (worst.verdict != verdict::Verdict::kPass) return out + worst.reason;

  return out + worst.measure + " uses " +
         (worst.tolerance_used ? verdict::format_share(*worst.tolerance_used) : "none") + " of its tolerance";
}

}  // namespace

std::string render_brief(const verdict::Run& run) {
  size_t passed = 0;
  for (const auto& s : run.scenarios) passed += s.verdict == verdict::Verdict::kPass ? 1 : 0;
  const std::string against =
      run.baseline_event_build.empty() ? "without a baseline" : "against " + baseline_label(run);
  return document::clean(run.calibration_name + " " + against + ": " + verdict::word(run.verdict) + ", " +
                         std::to_string(passed) + " of " + std::to_string(run.scenarios.size()) +
                         " scenarios pass") +
         "\n" + document::clean(worst_line(run)) + "\n";
}

}  // namespace brakeward::report
