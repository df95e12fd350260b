// Why a check let a change pass.
#pragma once

#include <string>

#include "verdict/run.h"

namespace brakeward::power {

enum class Miss {
  kUnseen,        // no number moves: a gap in the library, or a value that nothing uses
  kNotJudged,     // numbers move, none of them judged
  kForTheBetter,  // a measure leaves its tolerance, on the side where nothing is worse
  kWithin,        // every change stays within its tolerance
};

struct Explanation {
  Miss miss;
  std::string text;  // with the measure and scenario that say most
};

// Of a run that did not fail.
Explanation explain_miss(const verdict::Run& run);

}  // namespace brakeward::power
