// An invented run over the small catalogue with every verdict in it.
#pragma once

#include "verdict/run.h"

namespace brakeward::report {

verdict::Run sample_run();

}  // namespace brakeward::report
