// What a report draws of a run, replayed once more for the purpose.
#pragma once

#include "gate/session.h"
#include "report/html.h"

namespace brakeward::gate {

// Figures of report::scenarios_to_draw under the candidate and the baseline's calibration, the balance of
// both, and feel, repetitions and stints of the run under the baseline's calibration. What cannot be had is
// said in the result: the run and its verdict stand without it.
report::HtmlExtras draw(const Session& session, const verdict::Run& run);

}  // namespace brakeward::gate
