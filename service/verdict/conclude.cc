#include "verdict/tolerance.h"

namespace brakeward::verdict {

void conclude(Run& run) {
  run.verdict = Verdict::kNone;
  for (const ScenarioResult& s : run.scenarios) run.verdict = worst(run.verdict, s.verdict);
  const bool cut_short = run.state == RunState::kCancelled || run.state == RunState::kAborted;
  if (cut_short || run.verdict == Verdict::kNone) run.verdict = worst(run.verdict, Verdict::kInconclusive);
}

}  // namespace brakeward::verdict
